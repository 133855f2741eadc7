"""The named faces of a part in the table frame, and whether points and normals belong to them."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from inventory.shapes import Array
from solver.checks.arithmetic import plane
from solver.checks.arithmetic.blocks import Block
from solver.checks.arithmetic.shells import Plane, shell
from solver.checks.scene.scene import SetPart
from solver.checks.tolerances import FINE_RING, SAME_DIRECTION, SQUARE
from solver.sections import CIRCLE_SIDES, Section
from solver.weldment import Part


@dataclass(frozen=True)
class Face:
    """A flat face: a point of it, its outward normal, the plane's two directions, rings in that plane and holes in them.

    `hollow` faces accept patches over their holes (a tube's end); `cosine` is how square a contact must meet it.
    """

    label: str
    origin: Array
    normal: Array
    basis: Array
    rings: tuple[Array, ...]
    holes: tuple[Array, ...] = ()
    hollow: bool = False
    cosine: float = SQUARE

    def flat(self, points: Array) -> Array:
        """Return points (k, 3) in the face's plane, (k, 2)."""
        found: Array = (points - self.origin) @ self.basis.T
        return found

    def excess(self, points: Array, normal: Array) -> float:
        """Return how far points lie off the face, mm; infinite if a contact's normal does not oppose the face's."""
        if float(normal @ self.normal) > -self.cosine:
            return math.inf
        off = float(np.abs((points - self.origin) @ self.normal).max())
        flat = self.flat(points)
        off = max(off, float(plane.region_distance(flat, *plane.ring_edges(self.rings)).max()))
        if not self.hollow:
            for ring in self.holes:
                edges = plane.ring_edges([ring])
                off = max(off, float(np.where(plane.inside(flat, *edges), plane.edge_distance(flat, *edges), 0.0).max()))
        return off

    def material_under(self, corners: Array) -> float:
        """Return the area of the face under a convex pad given by its corners, mm2."""
        window = plane.hull(self.flat(corners))
        if len(window) < 3:
            return 0.0
        return sum(_covered(ring, window) for ring in self.rings) - sum(_covered(ring, window) for ring in self.holes)


def _covered(ring: Array, window: Array) -> float:
    return abs(plane.area(cut)) if len(cut := plane.clip(ring, window)) > 2 else 0.0


@dataclass(frozen=True)
class RoundFace:
    """The skin of a round section: its axis from `origin` along `axis`, radius and length, and the planes that cut it."""

    label: str
    origin: Array
    axis: Array
    radius: float
    length: float
    planes: tuple[Plane, ...] = ()

    def excess(self, points: Array, normal: Array) -> float:
        """Return how far points lie off the skin beyond what its polygon allows, mm; infinite if the normal is not radial."""
        away = points - self.origin
        along = away @ self.axis
        radial = away - along[:, None] * self.axis
        distance = np.linalg.norm(radial, axis=1)
        middle = radial.mean(axis=0)
        size = float(np.linalg.norm(middle))
        if size < 1e-9 or float(normal @ middle) / size > -math.cos(math.radians(360 / CIRCLE_SIDES / 2 + 0.5)):
            return math.inf
        allowance = 0.006 * self.radius
        off = np.maximum(0.0, np.abs(distance - self.radius) - allowance).max()
        beyond = max((float((points @ plane_normal - offset).max()) for plane_normal, offset in self.planes), default=0.0)
        return float(max(off, beyond, np.maximum(0.0, np.maximum(-along, along - self.length)).max()))


def face(part: SetPart, label: str) -> Face | RoundFace | None:
    """Return the face of that label, None if the part has none."""
    return next((found for found in faces(part) if found.label == label), None)


def faces(part: SetPart) -> tuple[Face | RoundFace, ...]:
    """Return all faces of a part where it stands."""
    return faces_of(part.part, tuple(map(tuple, part.pose.tolist())))


@lru_cache(maxsize=512)
def faces_of(part: Part, pose: tuple[tuple[float, ...], ...]) -> tuple[Face | RoundFace, ...]:
    """Return all faces of a part at a pose (4x4)."""
    frame, section, length = np.array(pose), part.section, part.length
    turn, origin = frame[:3, :3], frame[:3, 3]
    w = turn[:, 2]
    planes = planes_of(part)
    found: list[Face | RoundFace] = list(_across(part, planes, frame))
    if section.round:
        placed = tuple((turn @ normal, offset + float(turn @ normal @ origin)) for normal, offset in planes)
        found.append(RoundFace("side:0", origin, w, (section.diameter or 0.0) / 2, length, placed))
    for edge in section.edges:
        start, end = np.array(edge.a), np.array(edge.b)
        size = float(np.linalg.norm(end - start))
        along = turn[:, :2] @ (end - start) / size
        ring = np.array([[0.0, 0.0], [size, 0.0], [size, length], [0.0, length]])
        for normal, offset in planes:
            places = np.column_stack([start + ring[:, :1] * (end - start) / size, ring[:, 1]])
            ring = plane.half(ring, offset - places @ normal)
        if len(ring) < 3:
            continue
        outward = turn[:, :2] @ np.array(edge.normal)
        found.append(
            Face(
                edge.label,
                origin + turn[:, :2] @ start,
                outward,
                np.array([along, w]),
                (ring,),
                cosine=_cosine(section, edge.label),
            )
        )
    return tuple(found)


def planes_of(part: Part) -> tuple[Plane, ...]:
    """Return the planes that cut a part, in its section's frame."""
    return Block.of(part.placed(np.eye(4))).planes


def _across(part: Part, planes: Sequence[Plane], frame: Array) -> Iterator[Face]:
    """Yield the faces across a part: its ends, as far as they are left, and those that cuts made."""
    section, (turn, origin) = part.section, (frame[:3, :3], frame[:3, 3])
    u, v, w = turn.T
    outline, *cutouts = (np.array(ring) for ring in (section.outline, *section.cutouts))
    if not planes:
        for label, height, normal in (("start", 0.0, -w), ("end", part.length, w)):
            yield Face(label, origin + height * w, normal, np.array([u, v]), (outline,), tuple(cutouts), section.hollow)
        return
    whole, *holes = ({facet.name: facet for facet in shell([ring], 0.0, part.length, planes)} for ring in (outline, *cutouts))
    material = {facet.name: facet for facet in shell([outline, *cutouts], 0.0, part.length, planes)}
    for label, facet in material.items():
        if label == "side":
            continue
        along = label.startswith("cut:") and abs(float(facet.normal[2])) < SAME_DIRECTION
        basis, at = facet.basis, facet.edges[0, 0]
        rings = (material if along else whole)[label].rings()
        inner = [ring for hole in holes if label in hole for ring in hole[label].rings()] if not along else []
        yield Face(
            label, origin + turn @ at, turn @ facet.normal, basis @ turn.T, tuple((ring - at) @ basis.T for ring in rings),
            tuple((ring - at) @ basis.T for ring in inner), section.hollow and not along,
        )  # fmt: skip


def _cosine(section: Section, label: str) -> float:
    """Return how square a contact must meet an edge: facets of a circle (24 edges and more) count as the arc they stand for."""
    if section.shape != "plate":
        return SQUARE
    names = label.split(":")
    ring = section.plate_cutouts[int(names[1])] if names[0] == "cutout" else section.plate_outline
    return math.cos(math.radians(360 / len(ring))) if len(ring) >= FINE_RING else SQUARE
