"""Finding a fault: what was heard where, and what that leaves."""
