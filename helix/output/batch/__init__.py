"""Cut plans and choices of wire as tables, sheets and plain data."""
