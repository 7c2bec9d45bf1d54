"""Estimates of holding as reports, charts and plain data."""
