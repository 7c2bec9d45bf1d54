"""Tasks: joints that were made."""
