"""Rule books that are kept: changed, put in use, explained, compared, copied from one store to another."""
