"""The floor under the price of every fixture on a lattice, from its screened sites.

Each part needs two level points of one direction far enough apart, one on a long face, and one of another, rests where nothing
carries it, and clamps by its length. Every piece's price is shared over all it can do at once, so the sum never exceeds the price
of any complete fixture; what pieces keep each other from doing is left to the model.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from inventory.shapes import Array
from solver.deadline import look
from solver.geometry.hulls import Index
from solver.geometry.tolerances import CARRIES, CROSS, FLOOR_SLACK, SLOPING
from solver.hardware.clamp_lines import borne_at, parts_clamped
from solver.hardware.sites import Sites
from solver.laying.laid_weldment import LaidPart, LaidWeldment
from solver.laying.requirements import (
    Direction,
    carried,
    clamps_needed,
    direction_of,
    level_span,
    long_faces,
    rests_needed,
    side_spacing,
    touched_long,
    upright_round,
)


def locating_floor(sites: Sites, laid: LaidWeldment, part: LaidPart, prices: Array) -> Array:
    """Return per lattice what locators pay at least for a part's side and end, cents; infinite where it has none.

    `prices` holds what each stack adds, cents. Of the sites only those whose pads meet the part matter.
    """
    m = sites.meetings
    rows = np.flatnonzero((m.part == part.index) & ~sites.clamping[m.site])
    share = prices[sites.stack[m.site[rows]]] / sites.needs_met[m.site[rows]]
    return _located(sites, laid, part, rows, share)


def placing_floor(sites: Sites, part: int, laid: LaidWeldment, prices: Array) -> Array:
    """Return per lattice what locating and carrying a part (by its index) costs at least, cents; infinite where nothing does."""
    return locating_floor(sites, laid, laid.parts[part], prices) + carrying_floor(sites, laid, laid.parts[part], prices)


def carrying_floor(sites: Sites, laid: LaidWeldment, part: LaidPart, prices: Array) -> Array:
    """Return per lattice what a part's rests cost at least, cents; infinite where it needs one and has none."""
    asked = max(rests_needed(laid, part), int(not carried(laid, part)))
    if not asked:
        return np.zeros(len(sites.lattices))
    m = sites.meetings
    rests = m.site[(m.part == part.index) & ~sites.clamping[m.site] & (m.normal[:, 2] > CARRIES)]
    return asked * _least(sites.lattice[rests], prices[sites.stack[rests]] / sites.needs_met[rests], len(sites.lattices))


def clamping_floor(sites: Sites, laid: LaidWeldment, prices: Array) -> Array:
    """Return per lattice what clamps cost at least, cents; infinite where some part has none."""
    total: Array = clamping_floors(sites, [(part.index, laid) for part in laid.parts], prices).sum(axis=1)
    return total


def clamping_floors(sites: Sites, cases: Sequence[tuple[int, LaidWeldment]], prices: Array) -> Array:
    """Return per lattice what clamps for each case of a part cost at least, (lattices, cases), cents; infinite where none serves.

    Cases are a part's index each, and the weldment in an order of loading; there is one at least.
    """
    laid, price, m = cases[0][1], prices[sites.stack], sites.meetings
    serving = parts_clamped(sites, laid)
    share = price / serving.sum(axis=1).clip(1)
    under = ~sites.clamping[m.site] & (m.normal[:, 2] > CARRIES)
    found = np.zeros((len(sites.lattices), len(cases)))
    for number, (part, there) in enumerate(cases):
        rests = np.zeros(len(found), dtype=bool)
        rests[sites.lattice[m.site[(m.part == part) & under]]] = True
        borne = borne_at(sites, there, part)
        clamps = np.flatnonzero(serving[:, part] & (borne | rests[sites.lattice]))
        found[:, number] = clamps_needed(there, there.parts[part]) * _least(sites.lattice[clamps], share[clamps], len(found))
    return found


def _least(lattice: Index, share: Array, count: int) -> Array:
    least = np.full(count, np.inf)
    np.minimum.at(least, lattice, share)
    return least


def _located(sites: Sites, laid: LaidWeldment, part: LaidPart, rows: Index, share: Array) -> Array:
    """Return per lattice the least price of a side and an end of one part."""
    look()
    m = sites.meetings
    count = len(sites.lattices)
    level = np.hypot(m.normal[rows, 0], m.normal[rows, 1])
    sideways = level > SLOPING
    rows, share, level = rows[sideways], share[sideways], level[sideways]
    across = np.round(m.normal[rows, :2] / level[:, None], 4) + 0.0
    long = long_faces(laid, part)
    on_long = np.array([long.get(match.face.label, True) for match in sites.matches], dtype=bool)[m.match[rows]]
    given: dict[Direction, list[tuple[float, float]]] = {}
    given_long: set[Direction] = set()
    for touch in laid.touches_of(part.index):
        if touch.level:
            given.setdefault(direction_of(touch.normal), []).append(level_span(touch.patch, touch.normal))
            given_long |= {direction_of(touch.normal)} if touched_long(part, touch, long) else set()
    directions = {tuple(direction) for direction in across.tolist()} | set(given)
    one, two = {}, {}
    for direction in sorted(directions):
        own = (across == direction).all(axis=1)
        one[direction] = np.zeros(count) if direction in given else _least(sites.lattice[m.site[rows[own]]], share[own], count)
        spacing = side_spacing(laid, part, np.array([*direction, 0.0]))
        pairs = _pairs(sites, rows[own], share[own], np.array(direction), spacing, given.get(direction, []))
        stands_long = np.full(count, direction in given_long)
        stands_long[sites.lattice[m.site[rows[own & on_long]]]] = True
        two[direction] = np.where(stands_long, pairs, np.inf)
    best = np.full(count, np.inf)
    for side, pair in two.items():
        for end, single in one.items():
            if abs(side[0] * end[0] + side[1] * end[1]) <= CROSS:
                best = np.minimum(best, pair + single)
    if upright_round(part):
        best = np.minimum(best, _three(sites.lattice[m.site[rows]], share, count))
    return best


def _three(lattice: Index, share: Array, count: int) -> Array:
    """Return per lattice the sum of its three least shares, infinite where there are fewer."""
    order = np.lexsort((share, lattice))
    rank = np.arange(len(order)) - np.searchsorted(lattice[order], lattice[order])
    first = order[rank < 3]
    sums: Array = np.bincount(lattice[first], weights=share[first], minlength=count).astype(float)
    sums[np.bincount(lattice[first], minlength=count) < 3] = np.inf
    return sums


def _pairs(
    sites: Sites, rows: Index, share: Array, direction: Array, spacing: float, given: Sequence[tuple[float, float]]
) -> Array:
    """Return per lattice the least price of two points of one direction, from edge to edge at least `spacing` apart.

    Contacts that parts give cost nothing; long ones are two points.
    """
    count = len(sites.lattices)
    asked = spacing - FLOOR_SLACK if spacing > 0 else 0.0
    if any(high - low >= asked and high - low > 1.0 for low, high in given):
        return np.zeros(count)
    own = sites.meetings.spans(rows, np.array([-direction[1], direction[0], 0.0]))
    spans = np.concatenate([own, np.tile(np.reshape(given, (-1, 2)), (count, 1))])
    lattice = np.concatenate([sites.lattice[sites.meetings.site[rows]], np.repeat(np.arange(count), len(given))])
    price = np.concatenate([share, np.zeros(count * len(given))])
    order = np.lexsort((spans[:, 0], lattice))
    lattice, low, high, price = lattice[order], spans[order, 0], spans[order, 1], price[order]
    alone = high - low >= asked
    least = _least(lattice[alone], (price + _least_other(lattice, price))[alone], count)
    return np.minimum(least, _least(lattice[~alone], (price + _least_before(lattice, low, high - asked, price))[~alone], count))


def _least_other(lattice: Index, price: Array) -> Array:
    """Return for each point the least price of another one of its lattice, infinite if it is the only one."""
    order = np.lexsort((price, lattice))
    first = np.searchsorted(lattice[order], lattice)
    last = np.searchsorted(lattice[order], lattice, side="right")
    cheapest = order[first]
    second = np.where(last - first > 1, price[order[np.minimum(first + 1, len(order) - 1)]], np.inf)
    found: Array = np.where(cheapest == np.arange(len(price)), second, price[cheapest])
    return found


def _least_before(lattice: Index, low: Array, most: Array, price: Array) -> Array:
    """Return for each point the least price among its lattice's that begin at or before `most`; sorted by lattice and `low`.

    Places and prices are compared by their ranks, which are exact on any lattice.
    """
    places, place = np.unique(np.concatenate([low, most]), return_inverse=True)
    prices, rank = np.unique(price, return_inverse=True)
    begin, until = lattice * len(places) + place.reshape(2, -1)
    ends = np.searchsorted(begin, until, side="right")
    none = ends == np.searchsorted(lattice, lattice)
    so_far = np.minimum.accumulate(rank - lattice * len(prices))[ends - 1] + lattice * len(prices)
    found: Array = np.where(none, np.inf, prices[np.where(none, 0, so_far)]) if len(price) else price
    return found
