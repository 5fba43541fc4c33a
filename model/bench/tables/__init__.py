"""A room as a table for a spreadsheet and back, and as a graph."""
