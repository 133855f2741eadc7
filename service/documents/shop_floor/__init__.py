"""Measured times on the wire, and what a study of them proposes."""
