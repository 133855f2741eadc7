"""Pieces pulled each cycle before the weldment leaves: which may be, and what keeps them from it.

In words: only the piece on top of a stack is pulled, and only if the catalogue says it is `removable`, or if it locates nothing
and the catalogue says how long pulling takes. It is pulled straight up, clamps open, the parts still in place: neither a part nor
another piece may be over it.
Source: the rule book's way.* rules; pulled up by way.lift (common practice, no source).
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import numpy as np

from solver.access.route_blockers import route_blockers
from solver.geometry.hulls import Hulls, joined
from solver.geometry.proximity import box_pairs, near
from solver.geometry.tolerances import ROUNDING, UP
from solver.hardware.candidates import Candidate
from solver.laying.laid_weldment import LaidWeldment
from solver.laying.straight_moves import Route


def pullable_candidates(candidates: Sequence[Candidate], laid: LaidWeldment) -> frozenset[int]:
    """Return the candidates whose top piece may be pulled straight up past the parts."""
    pullable = [index for index, candidate in enumerate(candidates) if candidate.stack.pullable]
    if not pullable:
        return frozenset()
    # pulling a piece up past the parts is letting the parts down past the piece
    down = Route((-laid.rules["way.lift"] * UP,))
    tops, parts = _tops(candidates, pullable), range(len(laid.all_parts))
    return frozenset(pullable) - route_blockers(parts, [down], laid, candidates, tops, Hulls.of([], []))[0].candidates


def candidates_over(
    candidates: Sequence[Candidate], pulled: frozenset[int], standing: Hulls, lift: float
) -> dict[int, frozenset[int]]:
    """Return for each candidate that may be pulled the others over it: it cannot be pulled past them."""
    swept = _tops(candidates, sorted(pulled)).swept(lift * UP)
    i, j = box_pairs(swept.boxes, standing.boxes, 0.0)
    apart = swept.owner[i] != standing.owner[j]
    i, j = i[apart], j[apart]
    hit = near(swept, i, standing, j, ROUNDING)
    pairs = set(zip(swept.owner[i[hit]].tolist(), standing.owner[j[hit]].tolist(), strict=True))
    return {index: frozenset(other for own, other in pairs if own == index) for index in pulled}


def _tops(candidates: Sequence[Candidate], chosen: Iterable[int]) -> Hulls:
    """Return the top pieces of some candidates, clamps open; the owner is the candidate's index."""
    found = []
    for index in chosen:
        candidate = candidates[index]
        stack = candidate.stack
        if len(stack.opened):
            bodies = [(stack.opened, candidate.origin)]
        else:
            bodies = [(stack.still, candidate.origin), (stack.moving, candidate.origin + candidate.displacement)]
        for hulls, at in bodies:
            top = hulls.take(hulls.owner == len(stack.levels) - 1).shifted(at)
            found.append(Hulls(top.points, top.first, top.count, np.full(len(top), index, dtype=np.intp)))
    return joined(found)
