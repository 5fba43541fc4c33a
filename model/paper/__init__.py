"""Papers and files made from tables: pages to print, text, spreadsheets."""
