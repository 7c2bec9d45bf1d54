"""A joint that was made: its sizes from readings; what small errors do."""
