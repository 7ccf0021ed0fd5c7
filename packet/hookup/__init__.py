"""Hookups, stages and steps as one model; the walk that proves them; the drawing."""
