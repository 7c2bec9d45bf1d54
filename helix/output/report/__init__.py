"""A report as blocks, rendered as text, HTML and PDF."""
