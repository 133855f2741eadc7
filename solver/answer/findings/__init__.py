"""What is reported of an alternative, with numbers, limits and sources."""
