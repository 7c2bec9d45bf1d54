"""Linked eyes as an answer, a report, a chart, a picture and a 3-D page."""
