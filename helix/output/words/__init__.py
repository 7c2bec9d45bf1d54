"""Sentences: the one place where data becomes speech."""
