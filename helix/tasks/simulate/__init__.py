"""Tasks: the joint simulated."""
