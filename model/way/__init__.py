"""Finding the way: trace, why, route, around, kept connections."""
