"""What is typed: names, lists of them, what parts an entry, and all that it can be read as."""
