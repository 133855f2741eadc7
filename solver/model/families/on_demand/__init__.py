"""Constraint families asked of a choice once it is there: rows for what it breaks."""
