"""`python -m queueplanner` is the command line."""

from queueplanner.cli import entry

if __name__ == "__main__":
    entry()
