"""The part of a price that every fixture of a request pays, and floors under totals in whole cents."""

from __future__ import annotations

import math
from dataclasses import dataclass

from solver.cost import exact, half_up, tariff
from solver.position.kept_plan import KeptPlan
from solver.request import Request

ROUNDING_CENTS = 1.0
"""Setup and cycle, of each variant too, are rounded half up: two may lie so far below what the exact seconds cost."""
HAIR = 1e-6
ROUND_OFF = 1e-12
"""Of a sum of prices so large a share may come from floating point: a long run's millions have more digits than a float."""


@dataclass(frozen=True, slots=True)
class PriceFloor:
    """What a fixture costs whatever stands, cents; and in a re-plan what it costs to move a piece, and how many stand."""

    fixed_cents: float
    move_cents: int = 0
    standing: int = 0
    rounding_cents: float = ROUNDING_CENTS

    @staticmethod
    def of(request: Request, kept: KeptPlan | None) -> PriceFloor:
        """Return the floor of a request that keeps this plan, None if it keeps none."""
        rates = tariff(request)
        setup = rates.setup_fixed_s * rates.setup_share
        setup += rates.check_s * len(rates.runs)
        cycle = rates.cycle_fixed_s * rates.cycle_share * rates.cycles
        move = half_up(exact(request.rules["weights.moved_piece"]))
        standing = kept.count if kept is not None else 0
        rounding = ROUNDING_CENTS * (1 + len(rates.runs))
        return PriceFloor(float(setup * rates.cents_per_s) + float(cycle * rates.cents_per_s), move, standing, rounding)

    def moving(self, staying: int) -> int:
        """Return what it costs at least to move the pieces that stand, if at most so many of them stay, cents."""
        return self.move_cents * max(0, self.standing - staying)

    def cents(self, pieces_cents: float) -> int:
        """Return the least total of a fixture whose pieces cost at least so much, less what rounding may take off."""
        total = self.fixed_cents + pieces_cents - self.rounding_cents
        return math.ceil(total - HAIR - ROUND_OFF * abs(total))

    def pieces_at(self, total: int) -> float:
        """Return what pieces may cost at most, cents, for `cents` to give no more than a total."""
        return total - self.fixed_cents + self.rounding_cents + 2 * HAIR + 2 * ROUND_OFF * abs(total)
