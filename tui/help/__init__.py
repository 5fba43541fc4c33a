"""The topics of the help that the screen adds to those of the engine, and all of them together."""
