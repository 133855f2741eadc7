"""Several numbers of stations searched together."""
