"""On which of very many lattice positions every part may find what locates and clamps it: asked of all pairs of phases at once.

In words: a pad finds a hole on a position if it does along x and along y; whether some pad of a part and direction does is a
product of two tables, phases by pads. A part needs two directions across each other, or has them from other parts. What is told
as shut has an infinite floor.
"""

from __future__ import annotations

import numpy as np

from solver.geometry.hulls import Flags
from solver.geometry.tolerances import CROSS
from solver.laying.requirements import Direction, upright_round
from solver.position.floors.match_floors import AlongAxis, MatchFloors


def may_stand(bounds: MatchFloors, x: AlongAxis, y: AlongAxis) -> Flags:
    """Return for phases along either axis on which of their pairs every part may be located and clamped, (x phases, y phases)."""
    there = np.ones((len(x.meets), len(y.meets)), dtype=bool)
    match = np.array([window.match for window in bounds.windows], dtype=np.intp)
    clamped = np.array([window.part for window in bounds.windows], dtype=np.intp)
    pressed = [axis.serves & axis.meets[:, match] for axis in (x, y)]
    for part in bounds.laid.parts:
        own = np.flatnonzero(clamped == part.index)
        there &= _any(pressed[0][:, own], pressed[1][:, own])
    met = {key: _any(*(axis.meets[:, offers] for axis in (x, y))) for key, offers in bounds.offers.items()}
    located: dict[int, Flags] = {}
    for (index, _), given in zip(bounds.choices.cases, bounds.given, strict=True):
        offered = {direction: pairs for (of, direction), pairs in met.items() if of == index}
        found = _across(offered | {direction: np.ones_like(there) for direction, *_ in given}, there)
        if upright_round(bounds.laid.parts[index]):
            found |= np.any([np.zeros_like(there), *offered.values()], axis=0)
        located[index] = located[index] | found if index in located else found
    for found in located.values():
        there &= found
    return there


def _across(offered: dict[Direction, Flags], like: Flags) -> Flags:
    """Return where two directions across each other are both offered."""
    found = np.zeros_like(like)
    for side, one in offered.items():
        for end, other in offered.items():
            if abs(side[0] * end[0] + side[1] * end[1]) <= CROSS:
                found |= one & other
    return found


def _any(x: Flags, y: Flags) -> Flags:
    """Return for rows of two tables, phases by pads, whether some pad is in both, (x phases, y phases)."""
    found: Flags = x.astype(np.float32) @ y.astype(np.float32).T > 0.5
    return found
