"""Text from documents, made safe to show."""

from __future__ import annotations


def printable(text: str) -> str:
    """Return text with control and other unprintable characters escaped, so that no document can steer a terminal."""
    return "".join(c if c.isprintable() else c.encode("unicode_escape").decode("ascii") for c in text)
