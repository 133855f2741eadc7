"""One file a step, numbered in order."""
