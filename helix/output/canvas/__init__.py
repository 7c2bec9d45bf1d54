"""Flat drawing: text, lines, areas, labels; as pixels, SVG or PDF."""
