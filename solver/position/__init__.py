"""One lattice position: where it sits on a table, its sites and candidates, the floor under its price, its problem."""
