"""Sharing pieces out over lengths of stock with the least waste. Arrays in, arrays out."""
