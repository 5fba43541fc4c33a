"""A room written out anew as a room file, and the schema of one."""
