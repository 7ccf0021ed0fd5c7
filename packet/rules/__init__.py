"""One rule a file: pure functions, each with its source, each returning its working."""
