"""Prisms of every make, with what can be computed of them by hand: volumes and boxes."""

from __future__ import annotations

import math
from collections.abc import Mapping

import numpy as np

from inventory.cuts import Bounds, clipped
from inventory.shapes import Array, PlaneCut, Prism

S = math.sqrt(0.5)
TILTED = ((S, 0.0, S, 120.5), (0.0, 1.0, 0.0, -40.25), (-S, 0.0, S, 33.125), (0.0, 0.0, 0.0, 1.0))
SQUARE = ((0.0, 0.0), (40.0, 0.0), (40.0, 30.0), (0.0, 30.0))
ANGLE = ((0.0, 0.0), (60.0, 0.0), (60.0, 6.0), (6.0, 6.0), (6.0, 60.0), (0.0, 60.0))
INNER = ((10.0, 10.0), (30.0, 10.0), (30.0, 20.0), (10.0, 20.0))
ROUND = tuple((25 * math.cos(math.tau * k / 48), 25 * math.sin(math.tau * k / 48)) for k in range(48))

SOLIDS: Mapping[str, tuple[Prism, float]] = {
    "block": (Prism(SQUARE, -5, 20), 40 * 30 * 25),
    "block, clockwise": (Prism(SQUARE[::-1], 0, 20), 40 * 30 * 20),
    "with a cut-out": (Prism(SQUARE, 0, 8, (INNER,)), (40 * 30 - 20 * 10) * 8),
    "with a cut-out, clockwise": (Prism(SQUARE, 0, 8, (INNER[::-1],), TILTED), (40 * 30 - 20 * 10) * 8),
    "angle at a slant": (Prism(ANGLE, 0, 400, frame=TILTED), (60 * 6 + 54 * 6) * 400),
    "round": (Prism(ROUND, 0, 100, frame=TILTED), 24 * 25**2 * math.sin(math.tau / 48) * 100),
    "mitred": (Prism(SQUARE, 0, 100, cuts=(PlaneCut((0, 0, 60), (1, 0, 1)),)), 40 * 30 * 60 - 40 * 40 / 2 * 30),
    "cut at both ends": (
        Prism(SQUARE, 0, 100, frame=TILTED, cuts=(PlaneCut((0, 0, 100), (0, 1, 1)), PlaneCut((0, 0, 0), (0, 1, -1)))),
        40 * (30 * 100 - 30 * 30),
    ),
    "cut along, with a cut-out": (
        Prism(SQUARE, 0, 10, (INNER,), cuts=(PlaneCut((20, 0, 0), (1, 0, 0)),)),
        (20 * 30 - 10 * 10) * 10,
    ),
}
"""Prisms with their volumes, mm3; calculated by hand."""


def corners(solid: Prism) -> Array:
    """Return the corners of what is left of a prism, (n, 3), in the table frame; by clipping its outline, not by cutting a body."""
    found = []
    for low, high, planes in Bounds.of(solid.start, solid.end, solid.cuts).cells():
        ring = clipped(np.array(solid.outline, dtype=float), planes)
        for bound in (low, high) if len(ring) else ():
            found.append(np.column_stack([ring, ring @ np.array(bound[:2]) + bound[2], np.ones(len(ring))]))
    placed: Array = (np.concatenate(found) @ np.array(solid.frame, dtype=float).T)[:, :3]
    return placed


def box(solids: tuple[Prism, ...]) -> Array:
    """Return the least and greatest corner of some prisms, (2, 3), mm."""
    points = np.concatenate([corners(solid) for solid in solids])
    return np.stack([points.min(axis=0), points.max(axis=0)])
