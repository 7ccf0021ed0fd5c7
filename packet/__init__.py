"""Recovery job packets: from a YAML job description to the paper a technician works from."""
