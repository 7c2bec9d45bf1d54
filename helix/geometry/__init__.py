"""Geometry kernels: arrays in, arrays out, lengths in wire diameters unless a function says otherwise."""
