"""A rod that bends, twists, stretches, yields and touches itself: kernels, arrays in and arrays out."""
