"""One lattice position: where it sits on a table, what stands there, its price's floor, the problem it poses."""
