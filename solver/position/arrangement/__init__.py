"""Several equal stations on one table: where they can stand beside each other."""
