"""Pull tests to come: pieces, load cell, order."""
