"""Weldments as the shop keeps them, in versions."""
