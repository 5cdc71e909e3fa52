"""Answers as text for a terminal of 80 columns."""
