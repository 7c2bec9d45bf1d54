"""Joints that are linked: eye through eye, or an eye on a ring."""
