"""The plan of a batch: pieces, their ends, stock."""
