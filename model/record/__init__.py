"""The record: the logbook, seats, and taking a session up again."""
