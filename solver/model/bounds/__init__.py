"""Rows that bound instead of describing a fixture: least prices, differences, pieces counted."""
