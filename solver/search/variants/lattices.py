"""Where the lattice may run under the weldment and all its variants: every place that matters to one of them.

In words: along each axis a variant tells apart stretches of its own, so the places of all are taken together, and every one
along x with every one along y. Where that would be too many, only the pairs of each are taken, and what is left out is told.
Variants stay where they are drawn: what a shift of one of them could save is told too.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from solver.hardware.lattice_positions import positions_of
from solver.hardware.matching import Match
from solver.search.orientation import Orientation
from solver.search.sorts.sort_floors import anywhere

MOST_COMBINED = 60_000
"""So many pairs of places along x and y are taken at most."""
MOST_FLOORS = 4_000_000
"""Of lattice positions times pads and faces that can meet, so many at most are asked for their own floors."""
ALONG = 0.05
"""A pad whose normal has more than this share along an axis is pushed by a shift along it."""
Phases = list[tuple[float, float]]


def with_variants(phases: Phases, variants: Sequence[Orientation]) -> tuple[Phases, bool, bool]:
    """Return the lattice positions of a weldment and its variants together, whether some at odd angles are missing, or pairs."""
    left, every = False, list(phases)
    for variant in variants:
        own, more = positions_of(variant.reach, variant.laid, variant.bounds.pitch, variant.bounds.told_apart)
        every += own
        left |= more
    across, along = (sorted({place[axis] for place in every}) for axis in range(2))
    if len(across) * len(along) > MOST_COMBINED:
        return sorted(set(every)), left, True
    return sorted({*every, *((x, y) for x in across for y in along)}), left, False


def shifted_floor(orientation: Orientation) -> float:
    """Return what pieces cost at least if a variant may shift: along an axis every pad that locates can be set, cents.

    On any of its lattice positions, or, of very many, wherever the lattice runs; infinite if there are none. Shifts are not
    tried: this is what they could save.
    """
    bounds, phases = orientation.bounds, orientation.phases
    normal = np.array([match.pad.normal[:2] for match in bounds.found]).reshape(-1, 2)
    still = np.array([_stands_still(orientation, match) for match in bounds.found], dtype=bool)
    follows = [~((np.abs(normal[:, axis]) > ALONG) & still) for axis in range(2)]
    if len(phases) * len(bounds.found) > MOST_FLOORS:
        return min(float(anywhere(bounds, own[None, :])[0]) for own in follows)
    axes, least = bounds.axes(phases), math.inf
    for own in follows:
        there = [(replace(along, meets=along.meets & own[None, :]), numbers) for along, numbers in axes]
        for floors in bounds.floors_at(phases, there):
            least = min(least, float(floors.min(initial=math.inf)))
    return least


def _stands_still(orientation: Orientation, match: Match) -> bool:
    """Return whether a pad locates and no setting moves it."""
    stack = orientation.stacks[match.stack]
    return stack.push is None and (stack.travel is None or not match.pad.moves)
