"""Two wires that are worked as one: how they share a load, and how stiff they are."""
