"""The command line, the other door."""
