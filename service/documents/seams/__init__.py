"""Seams of a weldment as documents: the beads that could be laid, and which of them are chosen to be welded."""
