"""What was filed, and the state of every cylinder at a moment."""
