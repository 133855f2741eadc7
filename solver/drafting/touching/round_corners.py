"""The rounded corners of tubes, in their own frame: where a flat turns round, and how wide the groove beside it is."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from inventory.shapes import Array
from solver.geometry.hulls import Flags
from solver.sections import Section

ON = 1e-6
"""Coordinates this near are one, mm."""
ROOT = 0.8
"""A bead in the groove beside a round surface has its root where the groove is this wide, mm: nearer in no wire comes."""
WIDEST_ROOT = 2.0
"""A groove that begins wider than this, mm, is no place for a bead."""


@dataclass(frozen=True)
class Flank:
    """A line along a part where a flat turns into a round surface, tangent to it: a tube's corner, a round's mantle.

    `at` is the line's start, `normal` looks out of the part, `outwards` points to where the surface falls away (both unit).
    """

    at: Array
    normal: Array
    outwards: Array


def groove_width(radius: float, gap: float = 0.0) -> float:
    """Return how far from the line where a round surface touches a flat one the groove is about `ROOT` wide, mm.

    `gap` is what the two lack of touching, mm. Of a width above 1 mm only tenths are kept: nobody measures finer there.
    """
    root = max(0.0, min(ROOT, radius / 2) - max(0.0, gap))
    width = math.sqrt(2 * radius * root - root**2)
    return math.floor(width * 10) / 10 if width > 1 else width


def groove_depth(radius: float, width: float) -> float:
    """Return how wide (mm) the groove is so far (mm, at most the radius) from the line where the surfaces touch."""
    return radius - math.sqrt(radius**2 - width**2)


def flanks_of(section: Section) -> Iterator[Flank]:
    """Yield the flanks of a tube's rounded corners, two a side."""
    for edge in section.edges:
        a, b = np.array([*edge.a, 0.0]), np.array([*edge.b, 0.0])
        normal, along = np.array([*edge.normal, 0.0]), (b - a) / np.linalg.norm(b - a)
        yield Flank(a, normal, -along)
        yield Flank(b, normal, along)


def sharp_edges(edges: Array, half: Array, radius: float) -> Flags:
    """Return which edges (n, 2, 3) of a part with rounded corners are sharp: not where a flat ends, nor along a corner's arc.

    `half` (2,) is how far its flats reach from the middle along u and v, mm.
    """
    step = np.abs(edges[:, 1] - edges[:, 0])
    places = np.abs(edges[..., :2])
    at_side, at_flat_end = np.abs(places[:, 0] - half - radius) < ON, np.abs(places[:, 0] - half) < ON
    flat_ends = (step[:, :2] < ON).all(axis=1) & (at_side & at_flat_end[:, ::-1]).any(axis=1)
    arcs = (step[:, :2] > ON).all(axis=1) & (places > half - ON).all(axis=(1, 2))
    return np.asarray(~(flat_ends | arcs))
