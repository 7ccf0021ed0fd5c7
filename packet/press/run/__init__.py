"""Printing whole days: what must be set anew, by whom, and what is told."""
