"""What can be typed: one table, its reading, its completion."""
