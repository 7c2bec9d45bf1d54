"""Strands twisted together and coils wound on a core: closed forms."""
