"""A part as it is drawn, with what seams are found from: its faces, its edges, and the flanks of its rounded corners."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from inventory.shapes import Array, Prism
from solver.drafting.shapes_of_parts import broad_faces, thickness_of
from solver.geometry.cut_faces import part_faces
from solver.geometry.edges import edges_of
from solver.geometry.faces import Face
from solver.geometry.hulls import Flags
from solver.sections.rings import SHARP
from solver.weldment import Part

ON = 1e-6
"""Coordinates this near are one, mm."""


@dataclass(frozen=True)
class Flank:
    """A line along a part where a flat turns into a round surface, tangent to it: a tube's corner, a round's mantle.

    `at` is the line's start, `normal` looks out of the part, `outwards` points to where the surface falls away (both unit).
    """

    at: Array
    normal: Array
    outwards: Array


@dataclass(frozen=True)
class DrawnPart:
    """A part in the weldment's frame, by its number in the list of parts."""

    index: int
    part: Part

    @cached_property
    def frame(self) -> Array:
        """Columns u, v, w, origin."""
        return self.part.pose.frame()

    @property
    def axis(self) -> Array:
        """The direction from start to end, unit."""
        axis: Array = self.frame[:3, 2]
        return axis

    @cached_property
    def prism(self) -> Prism:
        """The part as a solid."""
        return self.part.drawn

    @cached_property
    def filled(self) -> Prism | None:
        """A hollow part with its hollow filled; None of any other."""
        return replace(self.prism, cutouts=()) if self.part.section.hollow else None

    @cached_property
    def box(self) -> Array:
        """Lowest and highest corner, (2, 3), cuts not looked at."""
        ring = np.array(self.part.section.outline)
        ends = [np.column_stack([ring, np.full(len(ring), w)]) for w in (0.0, self.part.length)]
        points = np.concatenate(ends) @ self.frame[:3, :3].T + self.frame[:3, 3]
        return np.array([points.min(axis=0), points.max(axis=0)])

    @cached_property
    def faces(self) -> list[Face]:
        """Its flat faces."""
        return part_faces(self.index, self.part, self.frame)

    @cached_property
    def planes(self) -> tuple[Array, Array]:
        """The normals (n, 3) of its faces and their heights (n,)."""
        normals = np.array([face.normal for face in self.faces])
        return normals, np.array([face.height for face in self.faces])

    @cached_property
    def edges(self) -> Array:
        """Its sharp edges, (n, 2, 3): where a flat side ends because a corner is rounded is none, nor is a corner's arc."""
        edges = edges_of(self.faces)
        return edges[self._sharp(self.local(edges))] if self.radius else edges

    @cached_property
    def broad(self) -> frozenset[str]:
        """The labels of its broad faces, if it is made of sheet."""
        return broad_faces(self.part)

    @cached_property
    def thickness(self) -> float:
        """What a weld meets, mm."""
        return thickness_of(self.part)

    @property
    def radius(self) -> float:
        """Outside radius of its corners, 0 if they are sharp; of a round part half its diameter, mm."""
        section = self.part.section
        corner = section.outside_radius
        return (section.diameter or 0.0) / 2 if section.round else corner if corner >= SHARP else 0.0

    @cached_property
    def flat_half(self) -> Array:
        """Of a part with rounded corners how far its flats reach from the middle along u and v, mm; 0 of a round one."""
        box = self.part.section.box
        return np.zeros(2) if box is None else np.maximum(np.array(box) / 2 - self.radius, 0.0)

    def local(self, points: Array) -> Array:
        """Return points (..., 3) in the part's own frame."""
        found: Array = (points - self.frame[:3, 3]) @ self.frame[:3, :3]
        return found

    def flanks(self) -> Iterator[Flank]:
        """Yield the flanks of a tube's rounded corners, two a side."""
        u, v, origin = self.frame[:3, 0], self.frame[:3, 1], self.frame[:3, 3]
        for edge in self.part.section.edges if self.radius and not self.part.section.round else ():
            a, b = np.array(edge.a), np.array(edge.b)
            along = (b - a) / np.linalg.norm(b - a)
            normal, way = edge.normal[0] * u + edge.normal[1] * v, along[0] * u + along[1] * v
            yield Flank(origin + a[0] * u + a[1] * v, normal, -way)
            yield Flank(origin + b[0] * u + b[1] * v, normal, way)

    def in_corner(self, local: Array) -> Flags:
        """Return of which points (..., 3) in the part's own frame the (u, v) lies where the corners are rounded."""
        found: Flags = np.asarray((np.abs(local[..., :2]) > self.flat_half + ON).all(axis=-1))
        return found

    def _sharp(self, local: Array) -> Flags:
        """Return which edges (n, 2, 3) in its own frame are sharp ones of a part with rounded corners."""
        if self.part.section.round:
            return np.ones(len(local), dtype=bool)
        step = np.abs(local[:, 1] - local[:, 0])
        outer = self.flat_half + self.radius
        at_side = np.abs(np.abs(local[:, 0, :2]) - outer) < ON
        at_flat_end = np.abs(np.abs(local[:, 0, :2]) - self.flat_half) < ON
        lengthwise = (step[:, :2] < ON).all(axis=1)
        flat_ends = lengthwise & ((at_side & at_flat_end[:, ::-1]).any(axis=1))
        arcs = (step[:, :2] > ON).all(axis=1) & (np.abs(local[..., :2]) > self.flat_half - ON).all(axis=(1, 2))
        sharp: Flags = np.asarray(~(flat_ends | arcs))
        return sharp
