"""The typed line: names, commands, completion."""
