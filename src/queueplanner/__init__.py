"""Queueplanner: the run order of a two-unit sheet-fed offset press that loses the fewest minutes to make-ready."""

__version__ = "0.1.0"
