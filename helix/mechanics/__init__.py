"""Mechanics kernels: numbers and arrays in and out, in N, mm, MPa and rad."""
