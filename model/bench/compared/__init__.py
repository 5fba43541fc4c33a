"""Two rooms compared by what they mean."""
