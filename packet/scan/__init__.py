"""Scanned stacks: which page of which packet this is, and what the pen marked."""
