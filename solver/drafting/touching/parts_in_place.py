"""A part as it is drawn, with what seams are found from: its faces, its edges, and the flanks of its rounded corners."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from inventory.shapes import Array, PlaneCut, Prism
from solver.drafting.placing import ORIGIN
from solver.drafting.remembering import PARTS, remembered
from solver.drafting.sheet_metal import broad_faces, thickness_of
from solver.drafting.touching.round_corners import Flank, flanks_of, groove_width, sharp_edges
from solver.geometry.cut_faces import part_faces
from solver.geometry.edges import Boundary, edges_of, lengthened
from solver.geometry.faces import Face
from solver.geometry.hulls import Flags
from solver.geometry.tolerances import TOUCH
from solver.sections import Section
from solver.sections.rings import SHARP
from solver.weldment import Part

CORNERS = np.array([[0, 0], [0, 1], [1, 0], [1, 1]])
"""Which of low and high a rectangle's four corners have, along its two axes."""
HOLLOW_SLACK = 0.01
"""What lies this near to the end of a hollow lies in it, mm: two hollow ends against each other are one hollow."""


@dataclass(frozen=True)
class PartShape:
    """What is known of a part whatever its place, in its own frame.

    `bounds` has what of each face is material, `widened` the grooves as well beside a flat whose corners are rounded. `edges`
    (n, 2, 3) are sharp: where a flat ends because a corner is rounded is none, nor is a corner's arc; `inner` (n,) are those of
    a hollow. `flanks` are those of a tube's corners. `corners` (8, 3) are those of a box around it.
    """

    faces: tuple[Face, ...]
    bounds: tuple[Boundary, ...]
    widened: tuple[Boundary, ...]
    edges: Array
    inner: Flags
    flanks: tuple[Flank, ...]
    corners: Array
    radius: float
    flat_half: Array
    broad: frozenset[str]
    thickness: float


@dataclass(frozen=True)
class PartInPlace:
    """A part in the weldment's frame."""

    part: Part

    @cached_property
    def shape(self) -> PartShape:
        """What is known of it whatever its place."""
        return shape_of(self.part.section, self.part.length, self.part.cuts)

    @cached_property
    def frame(self) -> Array:
        """Columns u, v, w, origin."""
        return self.part.pose.frame()

    @property
    def axis(self) -> Array:
        """The direction from start to end, unit."""
        axis: Array = self.frame[:3, 2]
        return axis

    @property
    def round(self) -> bool:
        """Whether its section is a circle."""
        return self.part.section.round

    @cached_property
    def prism(self) -> Prism:
        """The part as a solid."""
        return self.part.drawn

    @cached_property
    def filled(self) -> Prism:
        """The part as a solid, a hollow one with its hollow filled: nobody welds in there."""
        return replace(self.prism, cutouts=()) if self.part.section.hollow else self.prism

    @cached_property
    def bores(self) -> tuple[Prism, ...]:
        """The hollow of a hollow part as solids, none of any other."""
        if not self.part.section.hollow:
            return ()
        start, end = self.prism.start - HOLLOW_SLACK, self.prism.end + HOLLOW_SLACK
        cuts = tuple(_backed(cut) for cut in self.part.cuts)
        return tuple(Prism(ring, start, end, (), self.prism.frame, cuts) for ring in self.prism.cutouts)

    @cached_property
    def box(self) -> Array:
        """Lowest and highest corner, (2, 3), cuts not looked at."""
        points = self.shape.corners @ self.frame[:3, :3].T + self.frame[:3, 3]
        return np.array([points.min(axis=0), points.max(axis=0)])

    @cached_property
    def faces(self) -> tuple[Face, ...]:
        """Its flat faces."""
        turn, origin = self.frame[:3, :3], self.frame[:3, 3]
        return tuple(
            replace(
                face,
                origin=turn @ face.origin + origin,
                a=turn @ face.a,
                b=turn @ face.b,
                normal=turn @ face.normal,
            )
            for face in self.shape.faces
        )

    @cached_property
    def planes(self) -> tuple[Array, Array]:
        """The normals (n, 3) of its faces and their heights (n,)."""
        return np.array([face.normal for face in self.faces]), np.array([face.height for face in self.faces])

    @cached_property
    def face_boxes(self) -> Array:
        """A box (n, 2, 3) along the axes around each of its faces."""
        spans = np.array([bounds.corners for bounds in self.shape.bounds])
        corners = np.stack([face.lifted(span[CORNERS, (0, 1)]) for face, span in zip(self.faces, spans, strict=True)])
        return np.stack([corners.min(axis=1), corners.max(axis=1)], axis=1)

    def faces_at(self, point: Array) -> list[int]:
        """Return the numbers of its faces on which, or at whose edge, a point (3,) lies."""
        normals, heights = self.planes
        boxes = self.face_boxes
        near = (np.abs(normals @ point - heights) <= TOUCH) & (
            (boxes[:, 0] <= point + TOUCH) & (boxes[:, 1] >= point - TOUCH)
        ).all(axis=1)
        return [k for k in np.flatnonzero(near).tolist() if self.shape.bounds[k].holds(self.faces[k].flat(point))]

    @cached_property
    def edges(self) -> Array:
        """Its sharp edges, (n, 2, 3)."""
        edges: Array = self.shape.edges @ self.frame[:3, :3].T + self.frame[:3, 3]
        return edges

    @cached_property
    def flanks(self) -> tuple[Flank, ...]:
        """The flanks of a tube's rounded corners, two a side."""
        turn, origin = self.frame[:3, :3], self.frame[:3, 3]
        return tuple(Flank(turn @ one.at + origin, turn @ one.normal, turn @ one.outwards) for one in self.shape.flanks)

    def local(self, points: Array) -> Array:
        """Return points (..., 3) in the part's own frame."""
        found: Array = (points - self.frame[:3, 3]) @ self.frame[:3, :3]
        return found


@remembered(PARTS)
def in_place(part: Part) -> PartInPlace:
    """Return a part as it is drawn; the same one for the same part."""
    return PartInPlace(part)


@remembered(PARTS)
def shape_of(section: Section, length: float, cuts: tuple[PlaneCut, ...]) -> PartShape:
    """Return what is known of a part of some section, length (mm) and cuts, whatever its place."""
    part = Part("shape", section, length, ORIGIN, cuts=cuts)
    faces = tuple(part_faces(0, part, np.eye(4)))
    corner = section.outside_radius
    radius = (section.diameter or 0.0) / 2 if section.round else corner if corner >= SHARP else 0.0
    half = np.zeros(2) if section.box is None else np.maximum(np.array(section.box) / 2 - radius, 0.0)
    soft = bool(radius) and not section.round
    edges = edges_of(faces)
    edges = edges[sharp_edges(edges, half, radius)] if soft else edges
    (low_u, low_v), (high_u, high_v) = np.min(section.outline, axis=0), np.max(section.outline, axis=0)
    return PartShape(
        faces,
        tuple(Boundary.of(face.shape) for face in faces),
        tuple(_widened(face, soft, radius) for face in faces),
        edges,
        _inner(section, edges),
        tuple(flanks_of(section)) if soft else (),
        np.array([[u, v, w] for u in (low_u, high_u) for v in (low_v, high_v) for w in (0.0, length)]),
        radius,
        half,
        broad_faces(part),
        thickness_of(part),
    )


def _widened(face: Face, soft: bool, radius: float) -> Boundary:
    """Return what of a face's plane carries a bead beside a round surface."""
    return lengthened(face, groove_width(radius)) if soft and face.label.startswith("side:") else Boundary.of(face.shape)


def _backed(cut: PlaneCut) -> PlaneCut:
    x, y, z = (p + HOLLOW_SLACK * n for p, n in zip(cut.point, cut.normal, strict=True))
    return PlaneCut((x, y, z), cut.normal)


def _inner(section: Section, edges: Array) -> Flags:
    """Return which edges (n, 2, 3) of a hollow section are those of its hollow."""
    middles = np.abs(edges.mean(axis=1)[:, :2])
    if not section.hollow:
        return np.zeros(len(edges), dtype=bool)
    wall = section.thinnest
    if section.box is None:
        return np.asarray(np.hypot(*middles.T) < (section.diameter or 0.0) / 2 - wall / 2)
    return np.asarray((middles < np.array(section.box) / 2 - wall / 2).all(axis=1))
