"""A simulated pull as an answer and a report."""
