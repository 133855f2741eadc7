"""Measured times as a drawing: how they lie beside predicted ones."""
