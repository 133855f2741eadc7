"""What pushes what: parts along an axis, the parts on a clamp's line of force, how far a tip is from what bears it."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from inventory.shapes import Array
from tests.oracle.laying import Lying, Mate
from tests.oracle.offers import Offer

BESIDE = 0.5
"""A line of force this near to a part's side, mm, does not count as passing through it."""


def reach(box: Array, u: Array) -> float:
    """Return how far a box reaches along a level direction."""
    return float(max(u[0] * box[0], u[0] * box[3]) + max(u[1] * box[1], u[1] * box[4]))


def away(tip: Array, box: Array) -> float:
    """Return how far a tip is from a box, level."""
    return float(np.linalg.norm(np.maximum(np.maximum(box[:2] - tip[:2], tip[:2] - box[3:5]), 0.0)))


def pushed_groups(lying: Lying, mates: Sequence[Mate], axis: int) -> list[set[int]]:
    """Return the parts that push each other along an axis, group by group."""
    groups = [{part.index} for part in lying.parts]
    for mate in mates:
        if abs(mate.normal[axis]) > 0.9:
            one = next(group for group in groups if mate.part in group)
            other = next(group for group in groups if mate.on in group)
            if one is not other:
                groups.remove(other)
                one |= other
    return groups


def served(lying: Lying, offer: Offer) -> set[int]:
    """Return the parts a clamp's line of force passes through; along a hollow part it must run within the wall."""
    (contact,) = offer.contacts
    axis, push = contact.flat.axis, int(contact.normal[contact.flat.axis])
    found = {contact.part}
    for part in lying.parts:
        across = [a for a in range(3) if a != axis]
        inside = all(part.box[a] + BESIDE <= offer.tip[a] <= part.box[a + 3] - BESIDE for a in across)
        ahead = part.box[axis + 3] > offer.tip[axis] if push > 0 else part.box[axis] < offer.tip[axis]
        hollow = next((flat.hollow for flat in part.flats if flat.axis == axis and flat.hollow is not None), None)
        within = hollow is not None and all(hollow[a] < offer.tip[a] < hollow[a + 3] for a in across)
        if inside and ahead and not within:
            found.add(part.index)
    return found
