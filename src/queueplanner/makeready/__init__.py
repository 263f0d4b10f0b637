"""What it takes to go from one state of the press to the next pass: washes, tasks, crew, settings."""
