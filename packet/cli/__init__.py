"""The command line: words and exit codes; everything it does is a function of another station."""
