"""How hands make a joint, and joints beside each other."""
