"""The weldment as it lies: parts placed, their faces, what touches what, in which order they go in."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from inventory.shapes import Array, Prism, as_matrix
from solver.candidates.order import ON_TABLE, load_order
from solver.geometry.faces import Face, area, cutout_faces, faces_of, facing, round_cutouts, tangent_face
from solver.geometry.hulls import Hulls, joined
from solver.geometry.joints import Sample, Wedge, samples_of
from solver.geometry.near import box_pairs
from solver.geometry.solids import pieces_of
from solver.rules import RuleBook
from solver.weldment import Part, Weldment

LEVEL = 1e-6


@dataclass(frozen=True)
class HeldPart:
    """One part in the lie frame: table directions, weldment standing where the lie puts it, z = 0 the table's top.

    `hulls` are its convex pieces, hollow sections filled (nothing of a fixture goes inside a tube); `exact` keeps the
    hollow, for parts that go into one another. Mass kg, centre of gravity and radius of gyration mm.
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

    @property
    def id(self) -> str:
        """The part's id."""
        return self.part.id

    def extent(self, direction: Array) -> tuple[float, float]:
        """Return the least and the greatest coordinate of the part along a direction, mm."""
        along = self.hulls.points @ direction
        return float(along.min()), float(along.max())

    def covered(self, face: Face, touches: Sequence[Touch]) -> bool:
        """Return whether another part covers a face by half or more, so that no hardware can come at it."""
        own = [t.patch for t in touches if t.part == self.index and t.other >= 0 and float(t.normal @ face.normal) < -1 + LEVEL]
        on_plane = [patch for patch in own if abs(float((patch[0] - face.origin) @ face.normal)) < 0.1]
        return sum(area(patch) for patch in on_plane) >= 0.5 * face.shape.area > 0

    @cached_property
    def level_width(self) -> float:
        """The least level width of the part's plan outline, mm."""
        angles = np.radians(np.arange(0, 180, 1.0))
        along = self.hulls.points[:, :2] @ np.stack([np.cos(angles), np.sin(angles)])
        return float((along.max(axis=0) - along.min(axis=0)).min())

    def faces_towards(self, normal: Array) -> list[Face]:
        """Return the faces a pad with this normal (into the part) can touch."""
        found = [face for face in self.faces if float(face.normal @ normal) < -1 + LEVEL and not self.curved(face)]
        if self.curves:
            found += cutout_faces(self.index, self.part, self.frame, -normal)
        tangent = tangent_face(self.index, self.part, self.frame, -normal)
        return [*found, tangent] if tangent else found

    @cached_property
    def curves(self) -> tuple[str, ...]:
        """How the labels of round cut-outs' facets begin."""
        return tuple(f"cutout:{number}:" for number in round_cutouts(self.part))

    def curved(self, face: Face) -> bool:
        """Return whether a face is one facet of a round cut-out; pads meet the circle it stands for instead."""
        return bool(self.curves) and face.label.startswith(self.curves)


@dataclass(frozen=True)
class Touch:
    """Where part `part` touches part `other` (or the table: -1): patch (k, 3), normal into `part`."""

    part: int
    other: int
    patch: Array
    normal: Array


@dataclass(frozen=True)
class Assembly:
    """The whole weldment in one lie, with everything that does not depend on hardware.

    `order` is the order in which the parts go in; None if there is none, and then `locked` are parts that lock each other.
    """

    weldment: Weldment
    rules: RuleBook
    rotation: Array
    lift: float
    parts: tuple[HeldPart, ...]
    touches: tuple[Touch, ...]
    samples: tuple[Sample, ...]
    paths: tuple[Array, ...]
    order: tuple[int, ...] | None
    locked: tuple[int, ...] = ()

    @cached_property
    def everything(self) -> Hulls:
        """All parts' hulls; the owner is the part's index."""
        return joined([part.hulls for part in self.parts])

    @cached_property
    def bounds(self) -> Array:
        """Lowest and highest corner of the weldment, (2, 3)."""
        points = self.everything.points
        return np.array([points.min(axis=0), points.max(axis=0)])

    def before(self, part: int) -> tuple[int, ...]:
        """Return the parts that are in when this one goes in."""
        order = self.order or ()
        return order[: order.index(part)]

    def touches_of(self, part: int) -> list[Touch]:
        """Return where the table and already located parts touch a part, normals into it."""
        earlier = (-1, *self.before(part))
        return [touch for touch in self.touches if touch.part == part and touch.other in earlier]


def least_rotation(down: str) -> Array:
    """Return the least rotation (3x3) that turns a weldment direction towards the table."""
    half = {"-z": np.eye(3), "+z": np.diag([1.0, -1.0, -1.0])}
    if down in half:
        return half[down]
    sign = 1.0 if down[0] == "+" else -1.0
    if down[1] == "x":
        return np.array([[0.0, 0.0, sign], [0.0, 1.0, 0.0], [-sign, 0.0, 0.0]])
    return np.array([[1.0, 0.0, 0.0], [0.0, 0.0, sign], [0.0, -sign, 0.0]])


def hold_part(index: int, part: Part, rotation: Array, shift: Array, density: float) -> HeldPart:
    """Return a part placed by a rotation about the weldment's origin and a shift."""
    move = np.eye(4)
    move[:3, :3], move[:3, 3] = rotation, shift
    frame = move @ part.pose.frame()
    section = part.section
    prism = Prism(section.outline, 0.0, part.length, section.cutouts, as_matrix(frame))
    hollow = section.shape in ("square_tube", "rect_tube", "round_tube")
    exact = pieces_of(prism)
    around = Prism(section.hull_outline, 0.0, part.length, (), as_matrix(frame))
    filled = pieces_of(around) if hollow else exact
    filled_hulls = Hulls.of(filled, [index] * len(filled))
    properties = section.properties
    centre = frame[:3, 3] + frame[:3, :3] @ np.array([*properties.centroid, part.length / 2])
    gyration = np.sqrt((properties.i_uu + properties.i_vv) / properties.area + part.length**2 / 12)
    return HeldPart(
        index, part, frame, prism, filled_hulls, Hulls.of(exact, [index] * len(exact)) if hollow else filled_hulls,
        tuple(faces_of(index, part, frame)), properties.area * part.length * density * 1e-9, centre, float(gyration),
    )  # fmt: skip


def part_prism(part: Part) -> Prism:
    """Return a part as drawn, weldment frame."""
    return Prism(part.section.outline, 0.0, part.length, part.section.cutouts, as_matrix(part.pose.frame()))


def assemble(weldment: Weldment, rules: RuleBook, rotation: Array, lift: float, drawn: Sequence[Sample]) -> Assembly:
    """Return the weldment turned by `rotation`, its lowest point `lift` mm above the table's top.

    `drawn` are its torch samples in the weldment's frame.
    """
    density = {part.material: rules[f"material.{part.material}_kg_per_m3"] for part in weldment.parts}
    held = [hold_part(k, part, rotation, np.zeros(3), density[part.material]) for k, part in enumerate(weldment.parts)]
    bottom = min(float(part.hulls.points[:, 2].min()) for part in held)
    shift = np.array([0.0, 0.0, lift - bottom])
    held = [hold_part(k, part, rotation, shift, density[part.material]) for k, part in enumerate(weldment.parts)]
    touches = [*_table_touches(held), *_part_touches(held)]
    samples = tuple(
        Sample(
            sample.weld, rotation @ sample.at + shift, rotation @ sample.tangent,
            Wedge(rotation @ sample.wedge.bisector, sample.wedge.opening, sample.wedge.near_part),
        )
        for sample in drawn
    )  # fmt: skip
    paths = tuple(np.array(weld.path) @ rotation.T + shift for weld in weldment.welds)
    order, locked = load_order(held, touches, rules)
    return Assembly(weldment, rules, rotation, lift - bottom, tuple(held), tuple(touches), samples, paths, order or None, locked)


def drawn_samples(weldment: Weldment, rules: RuleBook) -> tuple[list[Sample], dict[str, list[Array]]]:
    """Return all torch samples in the weldment's frame, and per weld id the points where no wedge is open."""
    prisms = {part.id: (part_prism(part),) for part in weldment.parts}
    samples: list[Sample] = []
    shut: dict[str, list[Array]] = {}
    for index, weld in enumerate(weldment.welds):
        found, closed = samples_of(index, weld, (prisms[weld.parts[0]], prisms[weld.parts[1]]), rules)
        samples += found
        if closed:
            shut[weld.id] = closed
    return samples, shut


def _table_touches(held: Sequence[HeldPart]) -> list[Touch]:
    up = np.array([0.0, 0.0, 1.0])
    return [
        Touch(part.index, -1, face.corners(), up)
        for part in held
        for face in part.faces_towards(up)
        if abs(float(face.origin[2])) < ON_TABLE
    ]


def _part_touches(held: Sequence[HeldPart]) -> list[Touch]:
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
