"""Ink and words: templates, style, symbols, the message catalogue."""
