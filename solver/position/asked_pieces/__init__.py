"""Pieces that a request pins or avoids: which candidates are such pieces, and on which seats."""
