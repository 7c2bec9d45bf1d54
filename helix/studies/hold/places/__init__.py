"""Where a joint may break, what each place carries, and what to look at where it broke."""
