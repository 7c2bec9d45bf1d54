"""What the page answers, by calling studies and output."""
