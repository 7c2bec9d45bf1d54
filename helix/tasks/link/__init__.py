"""Tasks: what linking a joint costs, and how much room it leaves."""
