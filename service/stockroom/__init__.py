"""The storekeeper's desk behind routes and command line: items, tables, counts, reservations."""
