"""The joint as a lit picture."""
