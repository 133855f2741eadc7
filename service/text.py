"""Text to show: made safe whatever document it comes from; amounts of money; lengths in the unit a weldment was drawn in."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from solver.weldment import LengthUnit

MM_PER_INCH = 25.4
"""Exact since 1959: international yard and pound agreement."""


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


def length(mm: float, units: LengthUnit) -> str:
    """Return a length with its unit, as `units` of the weldment says: ``0.500 in``, or ``12.5 mm`` with at most two decimals."""
    return f"{figure(mm, units)} {'in' if units == 'inch' else 'mm'}"


def figure(mm: float, units: LengthUnit) -> str:
    """Return a length's figure alone, where the unit is written once for many."""
    if units == "inch":
        inches = f"{mm / MM_PER_INCH:.3f}"
        return inches.removeprefix("-") if float(inches) == 0 else inches
    millimetres = f"{mm:.2f}".rstrip("0").rstrip(".")
    return "0" if millimetres == "-0" else millimetres
