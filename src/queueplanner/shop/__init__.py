"""The shop as data: inks, stocks, formats, plates, jobs and passes, the press and its calendar."""
