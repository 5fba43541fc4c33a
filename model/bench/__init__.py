"""The bench: what the person who wires the bays decides, changes and proves, and the papers for it."""
