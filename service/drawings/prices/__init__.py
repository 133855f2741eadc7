"""Prices drawn: what a weldment costs over quantity."""
