"""Tables of wire: sizes, strengths, moduli, densities, each value with its source and its mark."""
