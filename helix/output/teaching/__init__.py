"""Good beside bad, and the making of a joint, in pictures."""
