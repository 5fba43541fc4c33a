"""The live patch: a state with its consequences, and what differs between two."""
