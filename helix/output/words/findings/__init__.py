"""Findings in words: a table a subject, and one door to them all."""
