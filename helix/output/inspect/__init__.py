"""Inspections and small errors as tables and plain data."""
