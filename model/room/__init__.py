"""The room: its wiring as frozen data, the kinds of port and normal, names, and the file reader."""
