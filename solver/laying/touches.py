"""Where the table touches parts, and parts each other, as they lie."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from solver.geometry.faces import facing
from solver.geometry.proximity import box_pairs
from solver.geometry.tolerances import ON_TABLE, UP
from solver.laying.laid_weldment import TABLE, LaidPart, Touch


def table_touches(parts: Sequence[LaidPart]) -> list[Touch]:
    """Return where parts lie on the table."""
    return [
        Touch(part.index, TABLE, face.corners(), UP)
        for part in parts
        for face in part.faces_towards(UP)
        if abs(float(face.origin[2])) < ON_TABLE
    ]


def part_touches(parts: Sequence[LaidPart]) -> list[Touch]:
    """Return every touch of two parts, once for each of them."""
    touches = []
    bounds = np.array([[part.hulls.points.min(axis=0), part.hulls.points.max(axis=0)] for part in parts])
    for i, j in zip(*box_pairs(bounds, bounds, 0.1), strict=True):
        if i >= j:
            continue
        one, two = parts[i], parts[j]
        pairs = [(face, other) for face in one.faces for other in two.faces_towards(face.normal)]
        if one.part.section.round:
            pairs += [(face, other) for other in two.faces for face in one.faces_towards(other.normal) if face.label == "side:0"]
        for face, other in pairs:
            patch = facing(face, other)
            if patch is not None:
                touches += [Touch(int(i), int(j), patch, other.normal), Touch(int(j), int(i), patch, face.normal)]
    return touches
