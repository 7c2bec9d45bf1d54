"""Frozen models: the recipe of a joint, its wire, and the joint built from them."""
