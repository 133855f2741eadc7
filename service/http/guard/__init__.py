"""What a request must pass: who asks and whether it may; then its body: size, depth, encoding, finite numbers, single keys."""
