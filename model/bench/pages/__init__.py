"""The bench's papers: each as a page to print, as text, and for a spreadsheet."""
