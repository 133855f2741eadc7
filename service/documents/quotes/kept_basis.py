"""What a quote's prices go by, and its lines, as they are kept beside it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict
from fractions import Fraction
from typing import Any

from service.documents.quotes.inquiry import AskedLine
from solver.quotes import CycleRate, Floor, OtherWays, PriceBasis


def kept_basis(basis: PriceBasis) -> dict[str, Any]:
    """Return a basis as plain JSON values; by hand in cents as an exact fraction, ``46750/147``."""
    ways = basis.other_ways
    return {
        "rate": asdict(basis.rate),
        "floor": asdict(basis.floor),
        "by_hand_each": None if ways.by_hand_each is None else str(ways.by_hand_each),
        "dedicated_cents": ways.dedicated_cents,
    }


def read_basis(kept: Mapping[str, Any]) -> PriceBasis:
    """Return a basis as it was kept."""
    rate, each = CycleRate(**kept["rate"]), kept["by_hand_each"]
    ways = OtherWays(rate, None if each is None else Fraction(each), kept["dedicated_cents"])
    return PriceBasis(rate, Floor(**kept["floor"]), ways)


def kept_line(line: AskedLine) -> dict[str, Any]:
    """Return a line as plain JSON values."""
    return asdict(line)


def read_line(kept: Mapping[str, Any]) -> AskedLine:
    """Return a line as it was kept."""
    return AskedLine(**kept)
