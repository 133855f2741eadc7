"""Which welds of a weldment lie on which of its seams, however somebody has drawn them."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from inventory.shapes import Array
from solver.drafting.touching.runs import distances_to_path
from solver.drafting.weld_seams import ON_SEAM, Seam
from solver.laying.fit import sampled
from solver.weldment import Weld

SHARED = 10.0
"""A weld that shares so much of its path with a seam lies on it, mm; of short ones half of their length is enough."""
EQUALLY = 0.05
"""Seams that are no farther than this from a place, mm, are equally near to it."""


def welds_on_seams(seams: Sequence[Seam], welds: Sequence[Weld]) -> tuple[Weld | None, ...]:
    """Return for each seam the first weld that lies on it, all along or for a stretch; None where there is none.

    Every place of a weld belongs to the nearest seam between the same two parts, no farther than 2 mm; of seams along one line to
    the one on the weld's side, or if it says none to that on the side it would be taken for. So a weld may lie on several seams,
    as one that runs on round a corner, and the other side of a thin sheet does not pass for welded.
    """
    found: list[Weld | None] = [None] * len(seams)
    for weld in welds:
        pair = [number for number, seam in enumerate(seams) if frozenset(seam.parts) == frozenset(weld.parts)]
        length = float(np.linalg.norm(np.diff(np.array(weld.path), axis=0), axis=1).sum())
        for number, share in zip(pair, _shares([seams[number] for number in pair], weld), strict=True):
            if found[number] is None and share * length >= min(SHARED, length / 2, seams[number].length / 2):
                found[number] = weld
    return tuple(found)


def _shares(seams: Sequence[Seam], weld: Weld) -> list[float]:
    """Return which share of a weld's places belongs to each of the seams between its parts."""
    if not seams:
        return []
    points = sampled(weld.path)
    away = np.array([distances_to_path(points, np.array(seam.path)) for seam in seams])
    if weld.side is not None:
        away[[not seam.closed and float(np.dot(seam.open_side, weld.side)) <= 0 for seam in seams]] = np.inf
    near = (away <= away.min(axis=0) + EQUALLY) & (away <= ON_SEAM)
    ranks = _ranks(seams, weld)
    taken = np.where(near, ranks[:, None], -1).argmax(axis=0)
    return [float((near[place] & (taken == place)).mean()) for place in range(len(seams))]


def _ranks(seams: Sequence[Seam], weld: Weld) -> Array:
    """Return numbers that are greater the sooner a weld is taken for lying in a seam's wedge."""
    if weld.side is not None:
        return np.array([1.0 + float(np.dot(seam.open_side, weld.side)) for seam in seams])
    order = sorted(seam.open_side[::-1] for seam in seams)
    return np.array([float(order.index(seam.open_side[::-1])) for seam in seams])
