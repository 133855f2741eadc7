"""What the shop owns: hardware items, lattice tables, counted stock, reservations."""
