"""Pull tests that were made: what they say."""
