"""Tasks: whether it holds, why, and what hands and loads do."""
