"""What every fixture of a request costs, whatever its pieces."""

from __future__ import annotations

import math
from dataclasses import dataclass
from fractions import Fraction

from solver.cost import exact, tariff
from solver.request import Request


@dataclass(frozen=True, slots=True)
class Floor:
    """Cents that every kit costs once at least, and the seconds of its cycle at least."""

    fixed_cents: int = 0
    cycle_s: int = 0

    @classmethod
    def of(cls, request: Request) -> Floor:
        """Return the floor of a request: walking, checking, loading and unloading, with no piece at all."""
        rates = tariff(request)
        kept = 1 - exact(request.rules["time.round_share"])  # the share of the cycle that is left at any number of stations
        cycle_s = rates.cycle_s(Fraction(0)) if request.stations == 1 else math.floor(rates.cycle_fixed_s * kept)
        return cls(rates.setup_cents(rates.setup_s(Fraction(0))), cycle_s)
