"""One wire as a chain of exact curves: path, frame, rings, distance to itself."""
