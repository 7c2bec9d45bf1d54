"""The recipe of one joint: read, checked, frozen, written."""
