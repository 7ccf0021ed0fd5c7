"""Decisions: one job, one day, which cylinders."""
