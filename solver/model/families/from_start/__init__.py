"""Constraint families posted before anything is solved."""
