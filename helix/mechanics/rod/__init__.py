"""A rod that bends, twists, stretches, yields and touches itself: kernels, arrays in and arrays out."""

from typing import Final

KERNEL: Final = 2
"""Rises when what the kernels say of a joint changes; runs that are shipped carry that of their making."""
