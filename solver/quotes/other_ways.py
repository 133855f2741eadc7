"""The other ways to make a run: marking out every weldment by hand, and a fixture that is built for it."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from solver.cost import exact, half_up
from solver.quotes.kit_price import CycleRate, KitPrice
from solver.request import Request


@dataclass(frozen=True, slots=True)
class OtherWays:
    """What the other ways cost.

    Parameters
    ----------
    rate : CycleRate
    by_hand_each : Fraction or None
        Cents of marking out and welding one good weldment by hand, exactly; None if every one is spoiled.
    dedicated_cents : int
        Building a dedicated fixture, cents; its cycles are those of the modular one.
    """

    rate: CycleRate
    by_hand_each: Fraction | None
    dedicated_cents: int

    @classmethod
    def of(cls, request: Request) -> OtherWays:
        """Return what the rules `compare.*` of a request say."""
        rules, parts = request.rules, len(request.weldment.parts)
        rate = CycleRate.of(rules)
        seconds = (exact(rules["time.load_s"]) + exact(rules["compare.mark_out_s"])) * parts + exact(rules["time.unload_s"])
        good = 1 - exact(rules["compare.mark_out_error"])
        build = exact(rules["compare.dedicated_hours"]) * exact(rules["rate.labour_cents_per_hour"])
        material = exact(rules["compare.dedicated_material_cents"])
        return cls(rate, seconds * rate.per_s / good if good else None, half_up(build) + half_up(material))

    def by_hand(self, quantity: int) -> int | None:
        """Return what a run costs that is marked out by hand, cents; None if it never ends."""
        return None if self.by_hand_each is None else half_up(quantity * self.by_hand_each)

    def dedicated(self, quantity: int, kit: KitPrice) -> int:
        """Return what a run costs in a fixture built for it, with the cycle of a modular kit, cents."""
        return self.dedicated_cents + self.rate.priced(quantity * kit.cycle_s)
