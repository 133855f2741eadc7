"""What each part asks for by its size, shape and place: clamps, support margin, spacing and faces of its side points."""

from __future__ import annotations

import math
from collections.abc import Mapping

import numpy as np

from inventory.shapes import Array
from solver.geometry.plan_view import inside_outline
from solver.geometry.tolerances import CROSS, FACE_SLACK, FLOOR_SLACK, ONE_FACE, PARALLEL
from solver.laying.laid_weldment import LaidPart, LaidWeldment, Touch


def clamps_needed(laid: LaidWeldment, part: LaidPart) -> int:
    """Return how many clamps a part needs by its length, as cuts leave it."""
    longest = part.part.length
    plate = part.part.section.shape == "plate"
    if plate or part.part.cuts:
        sizes = np.ptp((part.hulls.points - part.frame[:3, 3]) @ part.frame[:3, :3], axis=0)
        longest = float(sizes.max() if plate else sizes[2])
    return max(1, math.ceil(longest / laid.rules["clamp.per_length"] - 1e-9))


def carried(laid: LaidWeldment, part: LaidPart, margin: float | None = None) -> bool:
    """Return whether table and earlier parts may carry a part without a rest: its centre of gravity lies inside their outline.

    By `margin` (mm) at least; as far inside as the rule book asks if None.
    """
    patches = [touch.patch[:, :2] for touch in laid.supports_of(part.index)]
    inside = support_margin(laid, part) - FLOOR_SLACK if margin is None else margin
    return bool(patches) and inside_outline(np.concatenate(patches), part.centre[:2], inside)


def rests_needed(laid: LaidWeldment, part: LaidPart) -> int:
    """Return how many rests a part needs besides what table and earlier parts give it: three points, a lying round part two."""
    given = sum(len(touch.patch) for touch in laid.supports_of(part.index))
    lying = part.part.section.round and abs(float(part.frame[2, 2])) < CROSS
    return max(0, (2 if lying else 3) - given)


def support_margin(laid: LaidWeldment, part: LaidPart) -> float:
    """Return how far inside its supports' outline a part's centre of gravity must lie, mm."""
    rules = laid.rules
    return min(rules["locate.support_margin"], rules["locate.support_margin_ratio"] * part.level_width)


def upright_round(part: LaidPart) -> bool:
    """Return whether a part is round with an upright axis: three level contacts of any directions around it locate it."""
    return part.part.section.round and abs(float(part.frame[2, 2])) > 1 - PARALLEL


Direction = tuple[float, float]
"""A level direction, rounded so that equal ones are one key."""


def direction_of(normal: Array) -> Direction:
    """Return the level direction of a normal (2+,) whose level part is a unit vector."""
    return round(float(normal[0]), 4) + 0.0, round(float(normal[1]), 4) + 0.0


def level_span(patch: Array, normal: Array) -> tuple[float, float]:
    """Return from where to where a patch (k, 2+) reaches square to a level normal (2+,), mm."""
    along = patch[:, :2] @ np.array([-normal[1], normal[0]])
    return float(along.min()), float(along.max())


def side_spacing(laid: LaidWeldment, part: LaidPart, normal: Array) -> float:
    """Return how far apart the outermost points of a part's side must be, mm; 0 for an upright round part."""
    rules = laid.rules
    if upright_round(part):
        return 0.0
    low, high = part.extent(np.array([-normal[1], normal[0], 0.0]))
    return min(rules["locate.side_spacing_ratio"] * (high - low), rules["locate.side_spacing_max"])


def side_face(laid: LaidWeldment, part: LaidPart) -> float:
    """Return how long the face under a part's outermost side points must be, mm; 0 if any will do."""
    return laid.rules["locate.side_face_ratio"] * max(part.side_faces.values(), default=0.0)


def long_faces(laid: LaidWeldment, part: LaidPart) -> Mapping[str, bool]:
    """Return for each flat upright outer face of a part, by label, whether it is long enough for its side points.

    Whatever else gives a side point, a hole or a V-block, does.
    """
    least = side_face(laid, part) - FACE_SLACK
    return {label: length >= least for label, length in part.side_faces.items()}


def touched_long(part: LaidPart, touch: Touch, long: Mapping[str, bool]) -> bool:
    """Return whether a level touch of a part is on a face that is long enough, by `long_faces`; in a hole any is."""
    on = [
        long[face.label]
        for face in part.faces
        if face.label in long
        and float(face.normal @ touch.normal) < -1 + PARALLEL
        and abs(float(face.normal @ (touch.patch[0] - face.origin))) < 2 * ONE_FACE
    ]
    return any(on) or not on
