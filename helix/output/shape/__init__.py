"""The shape of a joint as tables, drawings, colours and plain data."""
