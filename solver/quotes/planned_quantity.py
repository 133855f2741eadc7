"""What a plan at one quantity says of all quantities."""

from __future__ import annotations

import math
from dataclasses import dataclass

from solver.plans import Plan, Status
from solver.quotes.kit_price import CycleRate, KitPrice


@dataclass(frozen=True, slots=True)
class PlannedQuantity:
    """A quantity that was planned.

    Parameters
    ----------
    quantity : int
    status : str
        The plan's.
    bound_cents : int
        No fixture costs less at this quantity, as far as proved; 0 if nothing is.
    kits : tuple of KitPrice
        The plan's alternatives, by rank.
    """

    quantity: int
    status: Status
    bound_cents: int
    kits: tuple[KitPrice, ...] = ()

    @property
    def proved(self) -> bool:
        """Whether no fixture is cheaper at this quantity, or there is none."""
        return self.status in ("optimal", "infeasible")


def planned_quantity(quantity: int, plan: Plan, source: str, rate: CycleRate) -> PlannedQuantity:
    """Return what a plan made for a quantity says; `source` names the plan.

    Raises
    ------
    ValueError
        An alternative's cycles are not priced as `quantity` cycles of one weldment: its price is no line over quantity.
    """
    kits = []
    for each in plan.alternatives:
        cost = each.cost
        if cost.cycle_cents != rate.priced(quantity * each.cycle_s):
            raise ValueError(f"{cost.cycle_cents} cents are not the price of {quantity} cycles of {each.cycle_s} s")
        kits.append(KitPrice(cost.total_cents - cost.cycle_cents, each.cycle_s, cost.weights_cents, source, each.rank))
    bound = max(0, math.ceil((plan.cost_bound_cents or 0) - 1e-6))
    if plan.status == "optimal" and kits:
        bound = min(kit.total(quantity, rate) for kit in kits)
    return PlannedQuantity(quantity, plan.status, bound, tuple(kits))
