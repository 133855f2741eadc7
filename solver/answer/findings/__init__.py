"""What is told of an alternative, with numbers, limits and sources."""
