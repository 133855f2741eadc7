"""Addresses of rules."""
