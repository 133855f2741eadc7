"""A floor under the price of every fixture that carries a weldment above the table, before it is laid out there."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence

import numpy as np

from inventory.items import Item
from solver.cost import stack_times, tariff
from solver.geometry.tolerances import CARRIES, CROSS, SLOPING
from solver.hardware.stacks import Stack
from solver.laying.laid_weldment import LaidPart, LaidWeldment
from solver.laying.requirements import clamps_needed
from solver.search.orientation import Orientation, items_of
from solver.search.state import SearchState


def raised_floor(state: SearchState, orientation: Orientation, under_it: Sequence[Stack] = ()) -> int:
    """Return the least total of a fixture in which no part lies on the table, carried by some of certain stacks or by any, cents.

    Every part needs three level points of contact that no other part gives it, and its clamps; the part that goes in first
    three rests (a lying round part two). A piece's price is shared over all its contacts with all parts in one plane.
    """
    laid, request = orientation.laid, state.request
    rates, flush, count = tariff(request), _flush(laid), len(laid.parts)
    level = under = pressing = math.inf
    for item in items_of(request, state.stock):
        price = stack_times(request, state.stock, [item]).cents(rates)
        if item.clamp is not None:
            pressing = min(pressing, price)
            continue
        share = price / max(1, _needs(item) * flush)
        level = min(level, share if any(np.hypot(*c.normal[:2]) > SLOPING for c in item.contacts) else math.inf)
        under = min(under, share if any(c.normal[2] > CARRIES for c in item.contacts) else math.inf)
    if under_it:
        prices = [stack_times(request, state.stock, [level.item for level in stack.levels]).cents(rates) for stack in under_it]
        under = min(price / max(1, _needs(stack.top) * flush) for price, stack in zip(prices, under_it, strict=True))
    lacking = sum(max(0, 3 - _given(laid, part)) for part in laid.parts)
    rests = min(2 if part.part.section.round and abs(float(part.frame[2, 2])) < CROSS else 3 for part in laid.parts)
    clamps = [clamps_needed(laid, part) for part in laid.parts]
    needed = max(*clamps, math.ceil(sum(clamps) / count))
    total = (lacking * level if lacking else 0.0) + rests * under + needed * pressing
    return state.price.cents(total) if math.isfinite(total) else state.price.cents(0.0)


def _needs(item: Item) -> int:
    """Return how many needs of one part an item's contacts could meet at once: a flank carries and locates."""
    return sum((np.hypot(*c.normal[:2]) > SLOPING) + (c.normal[2] > CARRIES) for c in item.contacts)


def _given(laid: LaidWeldment, part: LaidPart) -> int:
    """Return how many level points other parts could give a part, whichever goes in first."""
    touches = [touch for touch in laid.touches if touch.part == part.index and touch.level]
    return sum(2 for _ in touches)


def _flush(laid: LaidWeldment) -> int:
    """Return how many parts have faces in one plane, at most."""
    planes: Counter[tuple[float, ...]] = Counter()
    for part in laid.parts:
        planes.update({(*np.round(face.normal, 3).tolist(), round(face.height, 1)) for face in part.faces})
    return max(planes.values(), default=1)
