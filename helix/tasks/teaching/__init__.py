"""Tasks: making it and comparing it."""
