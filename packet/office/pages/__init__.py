"""Record pages for a phone, and their index."""
