"""Tasks: pull tests."""
