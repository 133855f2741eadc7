"""Variants in the search: how they lie, where the lattice may run under all of them, and which pieces serve them all."""
