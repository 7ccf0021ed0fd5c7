"""What a gas is and does: names, composition, safety, properties, estimates and their error."""
