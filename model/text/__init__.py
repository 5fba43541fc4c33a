"""Text: made safe, suggested, listed, read as strict YAML; it knows no room."""
