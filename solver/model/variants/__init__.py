"""Variants in the model: each a fixture of its own rows, tied to the set-up by the pieces they share."""
