"""Text to show: made safe whatever document it comes from; amounts of money."""

from __future__ import annotations


def printable(text: str) -> str:
    """Return text with control and other unprintable characters escaped, so that no document can steer a terminal."""
    return "".join(c if c.isprintable() else c.encode("unicode_escape").decode("ascii") for c in text)


def money(cents: int, currency: str = "") -> str:
    """Return cents as a decimal amount with its currency: letters such as EUR behind it, a sign such as $ before it."""
    amount = f"{abs(cents) / 100:,.2f}"
    minus = "-" if cents < 0 else ""
    if not currency:
        return minus + amount
    return f"{minus}{amount} {currency}" if currency[0].isalpha() else f"{minus}{currency}{amount}"
