"""The weldment as it lies: parts placed, their faces, what touches what, in which order they go in."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise

import numpy as np

from inventory.shapes import Array, Prism
from solver.geometry.cut_faces import left_of
from solver.geometry.faces import Face, area, cutout_faces, round_cutouts, tangent_face
from solver.geometry.hulls import Hulls, Index, joined
from solver.geometry.inner_boxes import inner_boxes
from solver.geometry.joints import Sample
from solver.geometry.tolerances import CARRIES, LEVEL, ON_TABLE, PARALLEL
from solver.geometry.upright_faces import level_lengths
from solver.ledgers.content import content_of
from solver.rule_book.book import RuleBook
from solver.weldment import Part, Weldment


@dataclass(frozen=True)
class LaidPart:
    """One part in the lie frame: table directions, the weldment as the lie puts it, z = 0 the table's top.

    `hulls` are its convex pieces, hollow sections filled (nothing of a fixture goes inside a tube); `exact` keeps the
    hollow, for parts that go into one another. Mass kg, centre of gravity and radius of gyration mm. `tips` are edges that pads
    may meet as if they were faces, of a part that may be located together with its ring.
    """

    index: int
    part: Part
    frame: Array
    prism: Prism
    hulls: Hulls
    exact: Hulls
    faces: tuple[Face, ...]
    mass: float
    centre: Array
    gyration: float
    tips: tuple[Face, ...] = ()

    @property
    def id(self) -> str:
        """The part's id."""
        return self.part.id

    def extent(self, direction: Array) -> tuple[float, float]:
        """Return the least and the greatest coordinate of the part along a direction, mm."""
        along = self.hulls.points @ direction
        return float(along.min()), float(along.max())

    def covered(self, face: Face, touches: Sequence[Touch]) -> bool:
        """Return whether other parts cover a face all but wholly, so that no hardware can come at it."""
        own = [
            t.patch for t in touches if t.part == self.index and not t.on_table and float(t.normal @ face.normal) < -1 + PARALLEL
        ]
        on_plane = [patch for patch in own if abs(float((patch[0] - face.origin) @ face.normal)) < 0.1]
        return sum(area(patch) for patch in on_plane) >= COVERED * face.shape.area > 0

    @cached_property
    def level_width(self) -> float:
        """The least level width of the part's plan outline, mm."""
        angles = np.radians(np.arange(0, 180, 1.0))
        along = self.hulls.points[:, :2] @ np.stack([np.cos(angles), np.sin(angles)])
        return float((along.max(axis=0) - along.min(axis=0)).min())

    @cached_property
    def side_faces(self) -> Mapping[str, float]:
        """The level length of each of its flat upright outer faces by label, mm; a round part has none."""
        return {} if self.part.section.round else level_lengths(self.faces, self.part.section.outside_radius)

    def faces_towards(self, normal: Array) -> list[Face]:
        """Return the faces a pad with this normal (into the part) can touch."""
        found = [face for face in self.faces if float(face.normal @ normal) < -1 + PARALLEL and not self.curved(face)]
        bent = cutout_faces(self.index, self.part, self.frame, -normal) if self.curve_labels else []
        tangent = tangent_face(self.index, self.part, self.frame, -normal)
        bent += [tangent] if tangent else []
        return [*found, *(left_of(bent, self.part, self.frame) if self.part.cuts else bent)]

    def tips_towards(self, normal: Array) -> list[Face]:
        """Return the tips a pad with this normal (into the part) can meet."""
        return [tip for tip in self.tips if float(tip.normal @ normal) < -1 + PARALLEL]

    @cached_property
    def curve_labels(self) -> tuple[str, ...]:
        """How the labels of round cut-outs' facets begin."""
        return tuple(f"cutout:{number}:" for number in round_cutouts(self.part))

    def curved(self, face: Face) -> bool:
        """Return whether a face is one facet of a round cut-out; pads meet the circle it stands for instead."""
        return bool(self.curve_labels) and face.label.startswith(self.curve_labels)


COVERED = 0.999
"""A face of which other parts cover this share takes no pad."""
TABLE = -1
"""Stands for the table where a part's index is expected."""


@dataclass(frozen=True)
class Touch:
    """Where part `part` touches part `other`, or the table (`TABLE`): patch (k, 3), normal into `part`."""

    part: int
    other: int
    patch: Array
    normal: Array

    @property
    def on_table(self) -> bool:
        """Whether it is the table that is touched."""
        return self.other == TABLE

    @property
    def carries(self) -> bool:
        """Whether it bears weight: its normal points up, or steeply up."""
        return bool(self.normal[2] > CARRIES)

    @property
    def level(self) -> bool:
        """Whether it pushes straight sideways: its normal is level."""
        return abs(float(self.normal[2])) < LEVEL


@dataclass(frozen=True)
class ClosedRing:
    """Parts (indices) each of which meets two others of them at upright mitres, and their joints, each once."""

    parts: tuple[int, ...]
    joints: tuple[Touch, ...]


@dataclass(frozen=True)
class LaidWeldment:
    """The whole weldment in one lie, with everything that does not depend on hardware.

    `weldment` and `parts` are what is located, clamped and held; `bodies` are its outer bodies, which only take up room. They are
    numbered after the parts, so that what may stand in the way of hardware is one list.
    `order` is the order in which the parts go in; None if there is none, and then `locked` are parts that lock each other.
    With `any_order` every part is asked as if it went in last: more than any order gives it, for floors. `rings` are its
    closed rings, whose parts the rule book may let be located together.
    """

    weldment: Weldment
    rules: RuleBook
    rotation: Array
    lift: float
    parts: tuple[LaidPart, ...]
    touches: tuple[Touch, ...]
    samples: tuple[Sample, ...]
    paths: tuple[Array, ...]
    order: tuple[int, ...] | None
    locked: tuple[int, ...] = ()
    any_order: bool = False
    rings: tuple[ClosedRing, ...] = ()
    bodies: tuple[LaidPart, ...] = ()

    @cached_property
    def all_parts(self) -> tuple[LaidPart, ...]:
        """Parts and outer bodies, each at its index: all that is loaded, and that hardware and torch keep clear of."""
        return (*self.parts, *self.bodies)

    @cached_property
    def hulls(self) -> Hulls:
        """The hulls of all parts and outer bodies; the owner is the part's index."""
        return joined([part.hulls for part in self.all_parts])

    @cached_property
    def sunk(self) -> float:
        """How far outer bodies reach below the table's top, mm: so much higher the weldment would have to lie; 0 if none does."""
        depths = (-float(body.hulls.points[:, 2].min()) for body in self.bodies)
        return max(0.0, max(depths, default=0.0) - ON_TABLE)

    @cached_property
    def inner_boxes(self) -> tuple[Array, Index]:
        """Boxes within the hulls of parts and outer bodies (k, 2, 3), and whose each is (k,)."""
        boxes, of = inner_boxes(self.hulls)
        return boxes, self.hulls.owner[of]

    @cached_property
    def weld_hulls(self) -> Hulls:
        """Weld paths as two-point hulls; the owner is the weld's index."""
        segments = [(np.array(ends), index) for index, path in enumerate(self.paths) for ends in pairwise(path)]
        return Hulls.of([segment for segment, _ in segments], [index for _, index in segments])

    @cached_property
    def bounds(self) -> Array:
        """Lowest and highest corner of the parts, (2, 3); an outer body may stick out over the table's edge."""
        points = np.concatenate([part.hulls.points for part in self.parts])
        return np.array([points.min(axis=0), points.max(axis=0)])

    @cached_property
    def content(self) -> bytes:
        """What stands for its bodies, faces, weld paths and open dimensions as they lie, whatever its parts are called."""
        number = {part.id: part.index for part in self.parts}
        bodies = [(repr(p.part.section), p.part.length, p.frame, p.hulls.points, p.hulls.count) for p in self.all_parts]
        ranges = [(number[d.part], d.direction, d.low, d.high) for d in self.weldment.open_dimensions]
        tips = [(tip.part, tip.label, tip.origin, tip.normal) for part in self.parts for tip in part.tips]
        return content_of(bodies, self.paths, ranges, self.rotation if ranges else None, *tips)

    def before(self, part: int) -> tuple[int, ...]:
        """Return the parts that are in when this one goes in; none if no order is known, none either for an outer body."""
        if part >= len(self.parts):
            return ()
        if self.any_order:
            return tuple(other.index for other in self.parts if other.index != part)
        order = self.order
        return order[: order.index(part)] if order is not None else ()

    def touches_of(self, part: int) -> list[Touch]:
        """Return where the table and already located parts touch a part, normals into it."""
        earlier = (TABLE, *self.before(part))
        return [touch for touch in self.touches if touch.part == part and touch.other in earlier]

    def supports_of(self, part: int) -> list[Touch]:
        """Return where the table and already located parts carry a part."""
        return [touch for touch in self.touches_of(part) if touch.carries]
