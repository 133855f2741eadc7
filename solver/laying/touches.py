"""Where the table touches parts, and parts each other, as they lie."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from solver.geometry.faces import facing
from solver.geometry.near import box_pairs
from solver.laying.laid_weldment import LaidPart, Touch
from solver.laying.load_order import ON_TABLE


def table_touches(held: Sequence[LaidPart]) -> list[Touch]:
    up = np.array([0.0, 0.0, 1.0])
    return [
        Touch(part.index, -1, face.corners(), up)
        for part in held
        for face in part.faces_towards(up)
        if abs(float(face.origin[2])) < ON_TABLE
    ]


def part_touches(held: Sequence[LaidPart]) -> list[Touch]:
    """Return every touch of two parts, once for each of them."""
    touches = []
    bounds = np.array([[part.hulls.points.min(axis=0), part.hulls.points.max(axis=0)] for part in held])
    for i, j in zip(*box_pairs(bounds, bounds, 0.1), strict=True):
        if i >= j:
            continue
        one, two = held[i], held[j]
        pairs = [(face, other) for face in one.faces for other in two.faces_towards(face.normal)]
        if one.part.section.round:
            pairs += [(face, other) for other in two.faces for face in one.faces_towards(other.normal) if face.label == "side:0"]
        for face, other in pairs:
            patch = facing(face, other)
            if patch is not None:
                touches += [Touch(int(i), int(j), patch, other.normal), Touch(int(j), int(i), patch, face.normal)]
    return touches
