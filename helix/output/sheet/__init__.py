"""The bench sheet, true to size."""
