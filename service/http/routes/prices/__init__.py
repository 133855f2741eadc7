"""Prices: quotes, followed, read, drawn."""
