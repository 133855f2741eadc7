"""Stored weldments on the wire: how requests name one, and what is told of those that are kept."""
