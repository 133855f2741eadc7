"""A part's present pose told as a placing: against which face of another part it lies, turned how, how far from which edge."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from inventory.shapes import Array
from solver.drafting.named_faces import NamedFace, face, faces
from solver.drafting.placing import ORIGIN, FaceEdge, Offset, Placing, placed_on
from solver.drafting.tidy import tidy
from solver.weldment import Part

SQUARE = 1e-7
"""Faces whose normals are this near to opposite (the sine between them) face each other."""
SAME = 1e-6
"""Edges this near are flush, and a placing that gives a pose back this nearly gives it back, mm."""
FLUSH: tuple[tuple[FaceEdge, FaceEdge], ...] = (
    ("middle", "middle"), ("low", "low"), ("high", "high"), ("low", "high"), ("high", "low"),
)  # fmt: skip
"""Which edges are said to be flush, where more than two are."""


def described(part: Part, target: Part) -> tuple[Placing, ...]:
    """Return the placings on another part that a part's present pose amounts to, the likeliest first.

    Faces that touch come first, those that share most first; then faces that face each other at a distance, the nearest first;
    then flush ones; then faces that would face each other if they were not beside each other. None are returned of a part no
    face of which looks straight at or along with one of the other's.
    """
    own, on = faces(part), faces(target)
    found = [(_rank(one, other), one, other) for one in own for other in on if _looks_alike(one, other) is not None]
    found.sort(key=lambda entry: entry[0])
    told = (described_by(part, target, one.key, other.key) for rank, one, other in found if rank[0] < _FAR)
    return tuple(placing for placing in told if placing is not None)


def described_by(part: Part, target: Part, part_face: str, on_face: str) -> Placing | None:
    """Return the placing of a part's present pose by two faces; None if they do not look straight at or along with each other.

    Raises
    ------
    KeyError
        If one of the two has no such face.
    """
    now, on = face(part, part_face), face(target, on_face)
    flush = _looks_alike(now, on)
    if flush is None:
        return None
    along, across, normal = np.array(on.along), np.array(on.across), np.array(on.normal)
    away = np.array(now.centre) - on.centre
    angle = math.degrees(math.atan2(float(np.dot(now.along, across)), float(np.dot(now.along, along))))
    turn = tidy(angle % 360.0) % 360.0
    spread = np.array(now.outline) - on.centre
    offset_along, offset_across = (
        _offset(length / 2, float((spread @ way).min()), float((spread @ way).max()))
        for way, length in ((along, on.size[0]), (across, on.size[1]))
    )
    gap = tidy(float(away @ normal))
    placing = Placing(part_face, target.id, on_face, turn, offset_along, offset_across, gap, flush)
    return placing if _gives_back(part, target, placing) else None


def _gives_back(part: Part, target: Part, placing: Placing) -> bool:
    pose, now = placed_on(part, target, placing).frame(), part.pose.frame()
    reach = np.abs(np.array(face(replace(part, pose=ORIGIN), placing.part_face).outline)).max() + 1.0
    return float(np.abs(pose - now)[:3, :3].max()) * reach < SAME and float(np.abs(pose - now)[:3, 3].max()) < SAME


def _looks_alike(one: NamedFace, other: NamedFace) -> bool | None:
    """Return whether two faces look the same way (True), straight at each other (False), or neither (None)."""
    if float(np.linalg.norm(np.cross(one.normal, other.normal))) > SQUARE:
        return None
    return float(np.dot(one.normal, other.normal)) > 0


def _offset(half: float, low: float, high: float) -> Offset:
    """Return how a face from `low` to `high` lies along one from -half to half: flush, or measured from the nearer end."""
    of_target = {"low": -half, "middle": 0.0, "high": half}
    of_moved = {"low": low, "middle": (low + high) / 2, "high": high}
    for from_edge, to_edge in FLUSH:
        if abs(of_moved[to_edge] - of_target[from_edge]) < SAME:
            return Offset(from_edge, to_edge)
    from_low, from_high = low + half, half - high
    if abs(from_low) <= abs(from_high):
        return Offset("low", "low", tidy(from_low, 6))
    return Offset("high", "high", tidy(from_high, 6))


_FAR = 4
"""The rank of faces that say nothing of each other."""


def _rank(own: NamedFace, on: NamedFace) -> tuple[float, ...]:
    """Return what sorts pairs of faces: touching, facing at a distance, flush; then how near and how much they share."""
    gap = float(np.dot(np.array(own.centre) - on.centre, on.normal))
    shared = _shared(own, on)
    if _looks_alike(own, on):
        return (2.0, -shared, 0.0) if abs(gap) < SAME else (_FAR, 0.0, 0.0)
    if gap < -SAME:
        return (_FAR, 0.0, 0.0)
    if shared < 0:
        return (3.0, gap, 0.0)
    return (0.0, -shared, 0.0) if gap < SAME else (1.0, gap, -shared)


def _shared(own: NamedFace, on: NamedFace) -> float:
    """Return the area that the extents of two faces share (mm2; of a line, mm); less than 0 if they lie beside each other."""
    spread = np.array(own.outline) - on.centre
    lengths = [_overlap(spread @ np.array(way), size) for way, size in ((on.along, on.size[0]), (on.across, on.size[1]))]
    if min(lengths) < -SAME:
        return -1.0
    return max(lengths[0], SAME) * max(lengths[1], SAME)


def _overlap(places: Array, length: float) -> float:
    return min(float(places.max()), length / 2) - max(float(places.min()), -length / 2)
