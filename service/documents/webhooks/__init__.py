"""Webhooks and their messages on the wire."""
