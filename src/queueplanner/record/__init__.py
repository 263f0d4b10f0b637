"""The shop's record: the database that everything a user does goes into at once, with undo, events and backups."""
