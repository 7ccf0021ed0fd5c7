"""Machines and cylinders proposed for a day's jobs."""
