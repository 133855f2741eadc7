"""The search over lies and lattice positions, best floor first."""
