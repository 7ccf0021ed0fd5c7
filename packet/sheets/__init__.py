"""What each sheet says: from plans and stages to strings ready to set."""
