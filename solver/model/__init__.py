"""The integer model of one lattice position; the only user of CP-SAT."""
