"""Conflicts: candidates that cannot be there together, bodies too near each other or pegs in one hole."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from solver.geometry.hulls import Hulls, joined
from solver.geometry.proximity import box_pairs, near
from solver.geometry.tolerances import ROUNDING
from solver.hardware.candidates import Candidate


def conflicts(candidates: Sequence[Candidate], shut: Hulls, opened: Hulls, clear: float) -> set[tuple[int, int]]:
    """Return pairs (i < j) of candidates whose bodies, clamps open or shut, come nearer than `clear`."""
    both = joined([shut, opened])
    i, j = box_pairs(both.boxes, both.boxes, clear)
    one, two = both.owner[i], both.owner[j]
    keep = one < two
    i, j, one, two = i[keep], j[keep], one[keep], two[keep]
    taken = _sharing_holes(candidates)
    codes = one * len(candidates) + two
    known = (
        np.isin(codes, np.array([a * len(candidates) + b for a, b in taken], dtype=np.intp)) if taken else np.zeros(len(i), bool)
    )
    i, j, codes = i[~known], j[~known], codes[~known]
    found = set(taken)
    hit = near(both, i, both, j, clear + ROUNDING)
    found.update((int(code) // len(candidates), int(code) % len(candidates)) for code in np.unique(codes[hit]))
    return found


def _sharing_holes(candidates: Sequence[Candidate]) -> set[tuple[int, int]]:
    users: dict[tuple[int, int], list[int]] = {}
    for index, candidate in enumerate(candidates):
        for hole in candidate.holes:
            users.setdefault(hole, []).append(index)
    return {(a, b) for sharing in users.values() for k, a in enumerate(sharing) for b in sharing[k + 1 :]}
