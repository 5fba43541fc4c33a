"""The help: topics made from the tables that they describe, shown in a terminal or written as Markdown."""
