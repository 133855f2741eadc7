"""The HTTP door."""
