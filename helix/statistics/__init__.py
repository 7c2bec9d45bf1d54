"""Kernels of statistics: samples, proportions, censored strengths, least squares. Arrays in, arrays out."""
