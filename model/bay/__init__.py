"""The bay: what is plugged, switched and put, and what an action makes of it."""
