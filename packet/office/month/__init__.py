"""The month's report."""
