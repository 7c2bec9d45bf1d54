"""Two wires worked as one: what they hold together, and how stiff they are."""
