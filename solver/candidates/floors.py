"""The floor under the price of every fixture on a lattice, from its screened sites.

Each part needs two level points of one direction far enough apart and one of another, rests where nothing carries it, and
clamps by its length. Every piece's price is shared over all it can do at once, so the sum never exceeds the price of any
complete fixture; what pieces keep each other from doing is left to the model.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from inventory.shapes import Array
from solver.candidates.assembly import Assembly, HeldPart
from solver.candidates.pressing import borne, served
from solver.candidates.sites import Sites
from solver.geometry.hulls import Index
from solver.geometry.plan_view import inside_outline

CROSS = 0.9
SIDEWAYS = 0.3
HAIR = 1e-3
"""What the floors ask is less by so much, mm, than what is asked of a fixture: equal is enough there."""


def floors(sites: Sites, assembly: Assembly, prices: Sequence[float]) -> tuple[Array, Array]:
    """Return each lattice's floor, cents (infinite where some part cannot be held), without the fixed part.

    `prices` holds what each stand adds, cents. The second array (lattices, parts) is the part of the floor that locators pay
    for locating each part.
    """
    price = np.array(prices)[sites.stand] if len(sites) else np.zeros(0)
    m = sites.meetings
    does = np.bincount(m.site, minlength=len(sites)).clip(1)
    serving = served(sites, assembly)
    bearing = borne(sites, assembly)
    total = np.zeros(len(sites.lattices))
    locating = np.zeros((len(total), len(assembly.parts)))
    for part in assembly.parts:
        rows = np.flatnonzero((m.part == part.index) & ~sites.clamping[m.site])
        share = price[m.site[rows]] / does[m.site[rows]]
        locating[:, part.index] = _located(sites, assembly, part, rows, share)
        total += locating[:, part.index]
        if not carried(assembly, part):
            under = m.normal[rows, 2] > 0.5
            total += _least(sites.lattice[m.site[rows[under]]], share[under], len(total))
        rests = np.zeros(len(total), dtype=bool)
        rests[sites.lattice[m.site[rows[m.normal[rows, 2] > 0.5]]]] = True
        clamps = np.flatnonzero(serving[:, part.index] & (bearing[:, part.index] | rests[sites.lattice]))
        total += clamps_needed(assembly, part) * _least(
            sites.lattice[clamps], price[clamps] / serving[clamps].sum(axis=1), len(total)
        )
    return total, locating


def clamps_needed(assembly: Assembly, part: HeldPart) -> int:
    """Return how many clamps a part needs by its length."""
    longest = part.part.length
    if part.part.section.shape == "plate":
        local = (part.hulls.points - part.frame[:3, 3]) @ part.frame[:3, :3]
        longest = float(np.ptp(local, axis=0).max())
    return max(1, math.ceil(longest / assembly.rules["clamp.per_length"] - 1e-9))


def _least(lattice: Index, share: Array, count: int) -> Array:
    least = np.full(count, np.inf)
    np.minimum.at(least, lattice, share)
    return least


def carried(assembly: Assembly, part: HeldPart) -> bool:
    """Return whether table and earlier parts may carry a part without a rest."""
    patches = [touch.patch[:, :2] for touch in assembly.touches_of(part.index) if touch.normal[2] > 0.5]
    if not patches:
        return False
    return inside_outline(np.concatenate(patches), part.centre[:2], support_margin(assembly, part) - HAIR)


def support_margin(assembly: Assembly, part: HeldPart) -> float:
    """Return how far inside its supports' outline a part's centre of gravity must lie, mm."""
    rules = assembly.rules
    return min(rules["locate.support_margin"], rules["locate.support_margin_ratio"] * part.level_width)


def upright_round(part: HeldPart) -> bool:
    """Return whether a part is round with an upright axis: three level contacts of any directions around it locate it."""
    return part.part.section.round and abs(float(part.frame[2, 2])) > 1 - 1e-6


def side_spacing(assembly: Assembly, part: HeldPart, normal: Array) -> float:
    """Return how far apart the outermost points of a part's side must be, mm; 0 for an upright round part."""
    rules = assembly.rules
    if upright_round(part):
        return 0.0
    low, high = part.extent(np.array([-normal[1], normal[0], 0.0]))
    return min(rules["locate.side_spacing_ratio"] * (high - low), rules["locate.side_spacing_max"])


def _located(sites: Sites, assembly: Assembly, part: HeldPart, rows: Index, share: Array) -> Array:
    """Return per lattice the least price of a side and an end of one part."""
    m = sites.meetings
    count = len(sites.lattices)
    level = np.hypot(m.normal[rows, 0], m.normal[rows, 1])
    sideways = level > SIDEWAYS
    rows, share, level = rows[sideways], share[sideways], level[sideways]
    across = np.round(m.normal[rows, :2] / level[:, None], 4) + 0.0
    given: dict[tuple[float, float], list[tuple[float, float]]] = {}
    for touch in assembly.touches_of(part.index):
        if abs(float(touch.normal[2])) < 1e-6:
            key = (round(float(touch.normal[0]), 4) + 0.0, round(float(touch.normal[1]), 4) + 0.0)
            given.setdefault(key, []).append(_span(touch.patch, touch.normal[:2]))
    directions = {tuple(direction) for direction in across.tolist()} | set(given)
    one, two = {}, {}
    for direction in sorted(directions):
        own = (across == direction).all(axis=1)
        one[direction] = np.zeros(count) if direction in given else _least(sites.lattice[m.site[rows[own]]], share[own], count)
        spacing = side_spacing(assembly, part, np.array([*direction, 0.0]))
        two[direction] = _pairs(sites, rows[own], share[own], np.array(direction), spacing, given.get(direction, []))
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
    least = np.full(count, np.inf)
    for number in range(count):
        own = np.sort(share[lattice == number])
        if len(own) >= 3:
            least[number] = float(own[:3].sum())
    return least


def _span(patch: Array, normal: Array) -> tuple[float, float]:
    along = patch[:, :2] @ np.array([-normal[1], normal[0]])
    return float(along.min()), float(along.max())


def _pairs(
    sites: Sites, rows: Index, share: Array, direction: Array, spacing: float, given: Sequence[tuple[float, float]]
) -> Array:
    """Return per lattice the least price of two points of one direction, from edge to edge at least `spacing` apart."""
    least = np.full(len(sites.lattices), np.inf)
    spans = np.array([_span(sites.meetings.patch[k], direction) for k in rows.tolist()]).reshape(-1, 2)
    lattice = sites.lattice[sites.meetings.site[rows]]
    for number in range(len(least)):
        own = np.flatnonzero(lattice == number)
        low = np.concatenate([spans[own, 0], [g[0] for g in given]])
        high = np.concatenate([spans[own, 1], [g[1] for g in given]])
        price = np.concatenate([share[own], np.zeros(len(given))])
        points = np.concatenate([np.ones(len(own)), [2.0 if g[1] - g[0] > 1.0 else 1.0 for g in given]])
        if not len(price):
            continue
        asked = spacing - HAIR if spacing > 0 else 0.0
        wide = np.maximum(high[None, :], high[:, None]) - np.minimum(low[None, :], low[:, None]) >= asked
        sums = price[:, None] + price[None, :]
        pairs = wide & ~np.eye(len(price), dtype=bool)
        best = sums[pairs].min(initial=np.inf)
        alone = np.flatnonzero(high - low >= asked)
        for k in alone.tolist():
            if points[k] >= 2:
                best = min(best, price[k])
        least[number] = best
    return least
