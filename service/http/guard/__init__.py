"""What a body must pass before anyone reads it: size, depth, encoding, finite numbers, single keys, idempotency."""
