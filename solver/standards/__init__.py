"""Published values, each with its source."""
