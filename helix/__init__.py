"""Shape, wire length and bends of twisted wire joints."""

__version__ = "0.1.0.dev0"
