"""The shop in YAML: text in, records that know their file and line out."""
