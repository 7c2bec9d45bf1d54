"""Files as they are read: their kinds, their keys, TOML with the line of each key, and what a mistake was likely meant to be."""
