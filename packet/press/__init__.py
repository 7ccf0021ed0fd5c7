"""Ink: assets, templates, PDF, codes, many jobs at once."""
