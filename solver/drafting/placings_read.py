"""A part's present pose told as a placing: against which face of another part it lies, turned how, how far from which edge."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np

from inventory.shapes import Array
from solver.drafting.named_faces import NamedFace, face, faces
from solver.drafting.placing import ORIGIN, FaceEdge, Offset, Placing, pose_by
from solver.drafting.tidy import tidy
from solver.weldment import Part

SQUARE = 1e-7
"""Faces whose normals are this near to opposite (the sine between them) face each other."""
SAME = 1e-6
"""Edges this near are flush, and a placing that gives a pose back this nearly gives it back, mm."""
ALIKE = 1 - 1e-7
"""The cosine between normals that may look straight along with each other, or its negative straight at each other, is more."""
MOST = 24
"""So many ways to tell a pose are told."""
LIKELY = 200
"""So many pairs of faces of one sort are looked at, the nearest."""
TOUCHING, APART, FLUSH = range(3)
"""How two faces lie that are parallel: against each other, facing each other at a distance, in one plane the same way."""
LEVEL_EDGES: tuple[tuple[FaceEdge, FaceEdge], ...] = (
    ("middle", "middle"), ("low", "low"), ("high", "high"), ("low", "high"), ("high", "low"),
)  # fmt: skip
"""Which edges are said to be flush, where more than two are."""


def described(part: Part, target: Part) -> tuple[Placing, ...]:
    """Return the placings on another part that a part's present pose amounts to, the likeliest first, `MOST` at most.

    Faces that touch come first, those that share most first; then faces that face each other at a distance, the nearest first;
    then flush ones; then faces that would face each other if they were not beside each other. None are returned of a part no
    face of which looks straight at or along with one of the other's.
    """
    own, on = faces(part), faces(target)
    ranked = sorted((_rank(own[i], on[j], sort), i, j) for i, j, sort in _likely(own, on))
    local = {face.key: face for face in faces(replace(part, pose=ORIGIN))}
    told = (_told(part, target.id, local[own[i].key], own[i], on[j]) for _, i, j in ranked[:MOST])
    return tuple(placing for placing in told if placing is not None)


def _likely(own: Sequence[NamedFace], on: Sequence[NamedFace]) -> Iterator[tuple[int, int, int]]:
    """Yield pairs of faces, by number, with how they lie: `TOUCHING`, `APART` or `FLUSH`; of each sort the nearest `LIKELY`."""
    normals, others = np.array([face.normal for face in own]), np.array([face.normal for face in on])
    cosines = normals @ others.T
    gaps = np.array([face.centre for face in own]) @ others.T - np.einsum("jx,jx->j", others, [face.centre for face in on])
    facing, touching = cosines < -ALIKE, np.abs(gaps) < SAME
    for sort, there in ((TOUCHING, facing & touching), (APART, facing & (gaps >= SAME)), (FLUSH, (cosines > ALIKE) & touching)):
        i, j = np.nonzero(there)
        nearest = np.argsort(gaps[i, j], kind="stable")[:LIKELY]
        yield from ((int(i[k]), int(j[k]), sort) for k in nearest)


def described_by(part: Part, target: Part, part_face: str, on_face: str) -> Placing | None:
    """Return the placing of a part's present pose by two faces; None if they do not look straight at or along with each other.

    Raises
    ------
    KeyError
        If one of the two has no such face.
    """
    own = face(replace(part, pose=ORIGIN), part_face)
    return _told(part, target.id, own, face(part, part_face), face(target, on_face))


def _told(part: Part, target: str, own: NamedFace, now: NamedFace, on: NamedFace) -> Placing | None:
    """Return the placing of a part by a face of it - in its own frame, and as it lies now - on a face of another part."""
    flush = _looks_alike(now, on)
    if flush is None:
        return None
    along, across, normal = np.array(on.along), np.array(on.across), np.array(on.normal)
    angle = math.degrees(math.atan2(float(np.dot(now.along, across)), float(np.dot(now.along, along))))
    turn = tidy(angle % 360.0) % 360.0
    spread = np.array(now.outline) - on.centre
    offset_along, offset_across = (
        _offset(length / 2, float((spread @ way).min()), float((spread @ way).max()))
        for way, length in ((along, on.size[0]), (across, on.size[1]))
    )
    gap = tidy(float(np.subtract(now.centre, on.centre) @ normal))
    placing = Placing(now.key, target, on.key, turn, offset_along, offset_across, gap, flush)
    off = np.abs(pose_by(own, on, placing).frame() - part.pose.frame())
    reach = 1.0 + float(np.abs(own.outline).max())
    gives_back = float(off[:3, :3].max()) * reach < SAME and float(off[:3, 3].max()) < SAME
    return placing if gives_back else None


def _looks_alike(one: NamedFace, other: NamedFace) -> bool | None:
    """Return whether two faces look the same way (True), straight at each other (False), or neither (None)."""
    if float(np.linalg.norm(np.cross(one.normal, other.normal))) > SQUARE:
        return None
    return float(np.dot(one.normal, other.normal)) > 0


def _offset(half: float, low: float, high: float) -> Offset:
    """Return how a face from `low` to `high` lies along one from -half to half: flush, or measured from the nearer end."""
    of_target = {"low": -half, "middle": 0.0, "high": half}
    of_moved = {"low": low, "middle": (low + high) / 2, "high": high}
    for from_edge, to_edge in LEVEL_EDGES:
        if abs(of_moved[to_edge] - of_target[from_edge]) < SAME:
            return Offset(from_edge, to_edge)
    from_low, from_high = low + half, half - high
    if abs(from_low) <= abs(from_high):
        return Offset("low", "low", tidy(from_low, 6))
    return Offset("high", "high", tidy(from_high, 6))


def _rank(own: NamedFace, on: NamedFace, sort: int) -> tuple[float, ...]:
    """Return what sorts pairs of faces: touching, facing at a distance, flush, beside each other; then how near, how much."""
    shared = _shared(own, on)
    if sort == FLUSH:
        return (2.0, -shared, 0.0)
    gap = float(np.dot(np.subtract(own.centre, on.centre), on.normal))
    if shared < 0:
        return (3.0, gap, 0.0)
    return (0.0, -shared, 0.0) if sort == TOUCHING else (1.0, gap, -shared)


def _shared(own: NamedFace, on: NamedFace) -> float:
    """Return the area that the extents of two faces share (mm2; of a line, mm); less than 0 if they lie beside each other."""
    spread = np.array(own.outline) - on.centre
    lengths = [_overlap(spread @ np.array(way), size) for way, size in ((on.along, on.size[0]), (on.across, on.size[1]))]
    if min(lengths) < -SAME:
        return -1.0
    return max(lengths[0], SAME) * max(lengths[1], SAME)


def _overlap(places: Array, length: float) -> float:
    return min(float(places.max()), length / 2) - max(float(places.min()), -length / 2)
