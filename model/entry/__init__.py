"""What an entry is done on and answered with."""
