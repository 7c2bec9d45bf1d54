"""Tasks: the joint's shape, on screen, on paper and as a file."""
