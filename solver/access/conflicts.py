"""Conflicts: candidates that cannot be there together, bodies too near each other or pegs in one hole.

What two stacks at their settings do to each other depends only on the offset of their holes (`solver.geometry.offsets`). What
is known of that is kept (`solver.ledgers`): for the next lattice position, the next lie and the next request. A stack is known
there by the points of its bodies, so that a changed catalogue asks anew.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import lru_cache, partial

import numpy as np

from solver.geometry.hulls import Hulls, joined
from solver.geometry.offsets import OffsetTable, Shape
from solver.geometry.proximity import box_pairs, near
from solver.geometry.tolerances import EQUAL
from solver.hardware.candidates import Candidate


def conflicts(candidates: Sequence[Candidate], table: OffsetTable) -> set[tuple[int, int]]:
    """Return pairs (i < j) of candidates that share a hole, or whose bodies, clamps open or shut, come too near for a table."""
    shapes: list[Shape] = []
    numbers: dict[bytes, int] = {}
    shape = np.zeros(len(candidates), dtype=np.intp)
    for index, found in enumerate(shapes_of(candidates)):
        shape[index] = numbers.setdefault(found.name, len(shapes))
        if shape[index] == len(shapes):
            shapes.append(found)
    holes = np.array([candidate.hole for candidate in candidates], dtype=np.intp).reshape(-1, 2)
    i, j = table.too_near(shapes, shape, holes)
    return _sharing_holes(candidates) | set(zip(i.tolist(), j.tolist(), strict=True))


def conflicts_at_ends(ends: Hulls, standing: Hulls, clear: float) -> set[tuple[int, int]]:
    """Return pairs (i < j) of which one comes nearer than `clear` to the other when it follows an open dimension to an end.

    `ends` are the candidates' bodies there, `standing` all their bodies anywhere; the owner is the candidate.
    """
    i, j = box_pairs(ends.boxes, standing.boxes, clear)
    apart = ends.owner[i] != standing.owner[j]
    i, j = i[apart], j[apart]
    hit = near(ends, i, standing, j, clear + EQUAL)
    pairs = np.sort(np.column_stack([ends.owner[i[hit]], standing.owner[j[hit]]]), axis=1)
    return {(one, other) for one, other in np.unique(pairs, axis=0).tolist()}


@lru_cache(maxsize=8)
def kept_table(pitch: float, clear: float) -> OffsetTable:
    """Return what is known of stacks on lattices of one pitch that keep clear of each other, both mm."""
    return OffsetTable(pitch, clear)


def shapes_of(candidates: Sequence[Candidate]) -> Iterator[Shape]:
    """Yield each candidate's stack at its setting."""
    for candidate in candidates:
        moved = candidate.displacement + 0.0 if len(candidate.stack.moving) else np.zeros(3)
        yield Shape(candidate.stack.looks + moved.tobytes(), partial(_bodies, candidate))


def _bodies(candidate: Candidate) -> Hulls:
    """Return a candidate's bodies seen from its hole: clamp shut, and what of it moves clamp open."""
    stack = candidate.stack
    opened = stack.opened.take(stack.opened.owner == len(stack.levels) - 1)
    return joined([stack.still, stack.moving.shifted(candidate.displacement), opened])


def _sharing_holes(candidates: Sequence[Candidate]) -> set[tuple[int, int]]:
    users: dict[tuple[int, int], list[int]] = {}
    for index, candidate in enumerate(candidates):
        for hole in candidate.holes:
            users.setdefault(hole, []).append(index)
    return {(a, b) for sharing in users.values() for k, a in enumerate(sharing) for b in sharing[k + 1 :]}
