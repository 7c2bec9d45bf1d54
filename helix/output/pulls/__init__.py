"""Pull tests as reports, charts and plain data."""
