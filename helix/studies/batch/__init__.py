"""Wire for a batch, and the wire for a load."""
