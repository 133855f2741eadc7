"""A surveyed lattice position at which several orders of loading are meant at once, asked for all of them before any alone.

In words: one model for all orders says what a fixture costs at least in any of them, and which may cost so little. That order
becomes a position of its own, asked with all its rules; the position stays for the others, under what is proved of them. Orders
that cost too much fall together.

Example:

```text
   position   orders   model of all   becomes
   (30, 30)   34       7062           (30, 30) in order a c b d: asked alone, 7094;  (30, 30) in 33 orders: 7062
   (20, 20)   34       above 7093     nothing: all orders fall at once
```
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from solver.hardware.sites import Sites
from solver.position.floors.site_floors import carrying_floor, clamping_floors, locating_floor
from solver.search.lattice_position import Fallen, LatticePosition
from solver.search.position_batches import allowed_sites
from solver.search.position_models import orders_model_at
from solver.search.state import SearchState

FEW = 1
"""So many orders at most are asked each alone: one model for all would take as long."""


def in_orders(state: SearchState, position: LatticePosition, most: int | None) -> list[LatticePosition]:
    """Return a surveyed position once for each order of loading in which a fixture may cost at most `most` (None: the least).

    While other orders are left, the position itself is among them, with the floor of the least of those.
    """
    if position.by_order is None:
        position.sites = allowed_sites(state, position)
        position.by_order = _floors_by_order(state, position, position.sites)
    if not position.by_order:
        state.fallen.append(Fallen(position))
        return []
    limit = min(position.by_order.values()) if most is None else most
    numbers = [number for number, floor in position.by_order.items() if floor <= limit]
    if state.tally.found and len(numbers) > FEW:
        numbers = _asked_at_once(state, position, numbers, most)
    found = []
    for number in numbers:
        floor = position.by_order[number]
        there = position.orientation.in_order(number, position.orientation.bounds.choices.laids[number])
        found.append(
            replace(position, floor=floor, number=state.next_number(), orientation=there, by_order=None, in_any_order=None)
        )
    for number in numbers:
        del position.by_order[number]
    if position.in_any_order is not None:
        position.in_any_order.leave_out(numbers)
    if position.by_order:
        left = replace(position, floor=min(position.by_order.values()), number=state.next_number())
        found.append(left)
    return found


def _asked_at_once(state: SearchState, position: LatticePosition, numbers: list[int], most: int | None) -> list[int]:
    """Return which of some orders to ask alone, all of them if nothing could be proved of them at once; raises their floors."""
    assert position.by_order is not None
    if state.deadline.over or state.out_of_work:
        return numbers
    model = orders_model_at(state, position, position.by_order)
    outcome = model.cheapest(state.deadline, seed=state.request.seed, work=state.work_left, ceiling=most)
    state.tally.solves += outcome.solves
    state.tally.work += outcome.work
    bound = most + 1 if outcome.verdict == "infeasible" and most is not None else outcome.bound
    for number in position.by_order:
        position.by_order[number] = max(position.by_order[number], bound or 0)
    if outcome.verdict == "infeasible":
        return [] if most is not None else numbers
    return [number for number in outcome.orders if number in position.by_order] or numbers


def _floors_by_order(state: SearchState, position: LatticePosition, sites: Sites) -> dict[int, int]:
    """Return by order of loading what a fixture costs at least with what can stand at a position, cents; those with any only.

    What locating costs by case is kept at the position.
    """
    orientation, choices = position.orientation, position.orientation.bounds.choices
    prices = np.array(orientation.bounds.prices)
    cases = [(laid.parts[part], laid) for part, laid in choices.cases]
    position.locating = np.array([float(locating_floor(sites, laid, part, prices)[0]) for part, laid in cases])
    carrying = np.array([float(carrying_floor(sites, laid, part, prices)[0]) for part, laid in cases])
    clamping = clamping_floors(sites, choices.cases, prices)[0]
    totals = choices.sums((position.locating + carrying + clamping)[None])[0].tolist()
    return {
        number: max(state.price.cents(orientation.premium + total) + state.price.moving(position.staying), position.floor)
        for number, total in enumerate(totals)
        if math.isfinite(total)
    }
