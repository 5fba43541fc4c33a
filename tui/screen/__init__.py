"""The screen."""
