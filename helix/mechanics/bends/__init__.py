"""Bends: strain, moment, springback, what a bend leaves of the wire. Arrays in, arrays out."""
