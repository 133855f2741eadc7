"""Where the lattice may run under the weldment and all its variants: every place that matters to one of them.

In words: along each axis a variant tells apart stretches of its own, so the places of all are taken together, and every one
along x with every one along y. Where that would be too many, only the pairs of each are taken, and what is left out is told.
Variants stay where they are drawn: what a shift of one of them could save is told too.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from solver.hardware.lattice_positions import positions_of
from solver.position.floors.match_floors import MatchFloors
from solver.search.orientation import Orientation
from solver.search.sorts.sort_floors import anywhere

MOST_COMBINED = 60_000
"""So many pairs of places along x and y are taken at most."""
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


def shifted_floor(orientation: Orientation, bounds: MatchFloors) -> float:
    """Return what pieces cost at least if the weldment may shift between variants: along an axis all pads that locate can be set.

    Cents, wherever the lattice runs; infinite if there are none. Shifts are not tried: this is what they could save.
    """
    along = np.array([match.pad.normal[:2] for match in bounds.found]).reshape(-1, 2)
    stands_still = [
        (stack := orientation.stacks[match.stack]).push is None and (stack.travel is None or not match.pad.moves)
        for match in bounds.found
    ]
    meets = [~((np.abs(along[:, axis]) > ALONG) & np.array(stands_still, dtype=bool)) for axis in range(2)]
    return min(float(anywhere(bounds, own[None, :])[0]) for own in meets)
