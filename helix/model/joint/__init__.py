"""The joint built from a recipe: the whole wire as one curve with section labels."""
