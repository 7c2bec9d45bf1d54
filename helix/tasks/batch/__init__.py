"""Tasks: wire for a batch."""
