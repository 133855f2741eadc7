"""The finished weldment as tape and square meet it: faces, where on them no other part is in the way, and the parts' motions."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property

import numpy as np

from inventory.shapes import Array, Point3
from solver.checks.arithmetic import plane
from solver.checks.arithmetic.blocks import Block, Mask, point_distance
from solver.checks.scene.faces import Face, RoundFace, faces
from solver.checks.scene.scene import Scene, SetPart
from solver.checks.tolerances import SQUARE, TOUCH
from solver.first_article.face_words import face_words
from solver.first_article.measures import ArticlePoint
from solver.first_article.prediction import Motions

FROM_EDGE = (8.0, 1.0, 0.3)
"""How far inside a face's edge a tape is read, mm, beside the bead; less where the face is narrower."""
SKIN = 0.2
"""A part that begins this near in front of a face covers it, mm."""
HOOK = 2.0
"""How much room in front of a face a tape's hook or a square's blade needs, mm."""
ALONG = (0.02, 0.25, 0.5, 0.75, 0.98)
"""Where along a round part's line the tape is read."""
FEWEST = 24
"""Corners of a ring that are looked at, at most about twice as many: circles have more."""


@dataclass(frozen=True)
class MeasuredFace:
    """A face, or the line of a round part, that looks along `normal`: its words, corners (k, 3) and free spots (m, 3), mm."""

    part: str
    label: str
    words: str
    normal: Array
    height: float
    corners: Array
    spots: Array
    shape: Face | RoundFace

    def extent(self, direction: Array) -> float:
        """Return how long the face is along a direction, mm."""
        return float(np.ptp(self.corners @ direction))

    def holds(self, points: Array) -> Mask:
        """Return which points (k, 3) of its plane lie on the face, (k,)."""
        if isinstance(self.shape, RoundFace):
            along = (points - self.shape.origin) @ self.shape.axis
            beside = points - self.shape.origin - along[:, None] * self.shape.axis - self.shape.radius * self.normal
            on: Mask = (along >= 0) & (along <= self.shape.length) & (np.linalg.norm(beside, axis=1) < TOUCH)
            return on & _left(self.shape, points)
        return plane.inside(self.shape.flat(points), *_edges(self.shape))


@dataclass(frozen=True)
class FinishedWeldment:
    """One station's weldment off the table, how its parts move under the locators' errors, and the faces asked for so far."""

    scene: Scene
    readings: tuple[Motions, ...]
    _known: dict[tuple[str, tuple[float, ...]], tuple[MeasuredFace, ...]] = field(default_factory=dict)

    @cached_property
    def bodies(self) -> Mapping[str, Block]:
        """Every part's body; tubes are filled and have sharp corners: no tape is read in a hollow or in the flare of a corner."""
        return {part.id: _filled(part) for part in self.scene.parts.values()}

    def looking(self, part: str, direction: Array) -> tuple[MeasuredFace, ...]:
        """Return a part's faces that look along a direction (unit, table frame) and can be reached, the outermost first."""
        key = (part, tuple((np.round(direction, 6) + 0.0).tolist()))
        if key not in self._known:
            self._known[key] = self._looking(part, direction)
        return self._known[key]

    def free(self, part: str, normal: Array, points: Array) -> Mask:
        """Return in front of which points (k, 3) of a part's face no other part is, (k,)."""
        free = np.ones(len(points), dtype=bool)
        for depth, room in ((SKIN, TOUCH), (HOOK, 0.5)):
            ahead = points + depth * normal
            low, high = self._boxes
            near: Mask = np.all((ahead[:, None] > low - room) & (ahead[:, None] < high + room), axis=2)
            for (id, body), inside in zip(self.bodies.items(), near.T, strict=True):
                if id != part and (asked := free & inside).any():
                    free[asked] = point_distance(ahead[asked], body) > room
        return free

    @cached_property
    def _boxes(self) -> tuple[Array, Array]:
        bounds = np.array([body.bounds for body in self.bodies.values()])
        return bounds[:, 0], bounds[:, 1]

    def point(self, part: str, words: str, at: Array) -> ArticlePoint:
        """Return a point of the table frame as a measure names it."""
        place = self.scene.place
        return ArticlePoint(part, words, _rounded((at - place[:3, 3]) @ place[:3, :3]), _rounded(at))

    def _looking(self, part: str, direction: Array) -> tuple[MeasuredFace, ...]:
        known = self.scene.parts[part]
        found: list[MeasuredFace] = []
        shapes = [shape for shape in faces(known) if looks(shape, direction) and not shape.label.startswith("cutout:")]
        for shape in sorted(shapes, key=lambda shape: -round(_height(shape, direction), 3)):
            outer = [one for one in found if one.label[:3] == shape.label[:3]]
            inner = bool(outer) and outer[0].height > _height(shape, direction) + TOUCH
            words = face_words(known.part, shape.label, direction, inner)
            spots = next((spots for by in FROM_EDGE if len(spots := self._spots(part, shape, direction, by))), np.zeros((0, 3)))
            found.append(
                MeasuredFace(
                    part, shape.label, words, direction, _height(shape, direction), _corners(shape, direction), spots, shape
                )
            )
        return tuple(one for one in found if len(one.spots))

    def _spots(self, part: str, shape: Face | RoundFace, direction: Array, by: float) -> Array:
        spots = _places(shape, direction, by)
        return spots[self.free(part, direction, spots)] if len(spots) else spots


def _filled(part: SetPart) -> Block:
    section, block = part.part.section, part.block
    if not section.hollow:
        return block
    if section.box is None:
        return replace(block, rings=block.rings[:1])
    u, v = section.box[0] / 2, section.box[1] / 2
    return replace(block, rings=(np.array([[-u, -v], [u, -v], [u, v], [-u, v]]),))


def looks(shape: Face | RoundFace, direction: Array) -> bool:
    """Whether a face looks along a direction (unit), or a round part has a line that does."""
    if isinstance(shape, RoundFace):
        return abs(float(shape.axis @ direction)) < 1e-6
    return float(shape.normal @ direction) > SQUARE


def _height(shape: Face | RoundFace, direction: Array) -> float:
    return float(shape.origin @ direction) + (shape.radius if isinstance(shape, RoundFace) else 0.0)


def _corners(shape: Face | RoundFace, direction: Array) -> Array:
    if isinstance(shape, RoundFace):
        return shape.origin + shape.radius * direction + np.outer([0.0, shape.length], shape.axis)
    corners: Array = shape.origin + np.concatenate(shape.rings) @ shape.basis
    return corners


def _places(shape: Face | RoundFace, direction: Array, by: float) -> Array:
    """Return points (k, 3) of a face `by` mm inside its edge, or of a round part's line."""
    if isinstance(shape, RoundFace):
        line = shape.origin + shape.radius * direction + np.outer(np.array(ALONG) * shape.length, shape.axis)
        left: Array = line[_left(shape, line)]
        return left
    ring = shape.rings[0]
    inset = plane.inset(ring, min(by, plane.least_width(ring) / 4), outer=True)
    inset = inset[:: max(1, len(inset) // FEWEST)]
    after = np.roll(inset, -1, axis=0)
    flat = np.concatenate([inset + share * (after - inset) for share in (0.0, 0.25, 0.5, 0.75)])
    on: Array = shape.origin + flat[plane.inside(flat, *_edges(shape))] @ shape.basis
    return on


def _left(shape: RoundFace, points: Array) -> Mask:
    """Return which points (k, 3) no cut takes away."""
    left = np.ones(len(points), dtype=bool)
    for normal, offset in shape.planes:
        left &= points @ normal <= offset
    return left


def _edges(shape: Face) -> tuple[Array, Array]:
    return plane.ring_edges([*shape.rings, *shape.holes])


def _rounded(at: Array) -> Point3:
    x, y, z = (np.round(at, 3) + 0.0).tolist()
    return x, y, z
