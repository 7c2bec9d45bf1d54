"""Mechanics kernels: arrays in, arrays out, in N, mm, MPa and rad."""
