"""Weldments as somebody draws them: parts in products, products placed in others, the file they are kept in, the beads they offer.

Lengths mm, whatever unit the file has.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from inventory.shapes import Array, PlaneCut, Point2, Point3
from solver.sections import Section
from solver.weldment import Part, Pose, WeldKind

X: Point3 = (1.0, 0.0, 0.0)
Y: Point3 = (0.0, 1.0, 0.0)
Z: Point3 = (0.0, 0.0, 1.0)
Bent = tuple[float, float, float]
"""A corner of an outline (u, v) and how the side after it bends: tan of a quarter of its arc's angle; 0 is straight."""
Schema = Literal["AP203", "AP214IS", "AP242DIS"]
FileUnit = Literal["MM", "CM", "M", "INCH", "FT"]
FINENESS = 48


@dataclass(frozen=True)
class DrawnPart:
    """One part of a product: what it is called, and what it is.

    Parameters
    ----------
    name : str
        As the file has it.
    part : Part
        In the frame of its product. A plate's outline stands for `outline` as a polygon.
    outline, cutouts : tuples of Bent
        A plate's true outlines, where any of them bends; empty for straight ones.
    """

    name: str
    part: Part
    outline: tuple[Bent, ...] = ()
    cutouts: tuple[tuple[Bent, ...], ...] = ()

    @property
    def bends(self) -> bool:
        """Whether its outlines have arcs."""
        return bool(self.outline)


@dataclass(frozen=True)
class Product:
    """What is drawn once and may be placed many times: parts of its own, other products in their places."""

    name: str
    parts: tuple[DrawnPart, ...] = ()
    members: tuple[Placed, ...] = ()


@dataclass(frozen=True)
class Placed:
    """A product in another: `frame` (4x4) takes its points into the other's frame."""

    name: str
    product: Product
    frame: Array


@dataclass(frozen=True)
class Beads:
    """Beads of one pair of parts that are alike, as somebody lists them who knows the trade.

    Parameters
    ----------
    one, two : str
        Ids of the parts.
    kind : WeldKind
        Of each bead.
    length : float
        Of each bead, mm.
    count : int
        How many.
    round : bool
        Whether they run along something round, which is drawn with 48 sides: their length is true to 0.3 %.
    """

    one: str
    two: str
    kind: WeldKind
    length: float
    count: int = 1
    round: bool = False


@dataclass(frozen=True)
class DrawnWeldment:
    """A weldment with the file it is kept in.

    Parameters
    ----------
    name : str
        What it is.
    product : Product
        What is drawn.
    beads : tuple of Beads
        Every bead it offers.
    schema, unit
        Of the file.
    loose : bool
        The file has no products: its solids lie side by side, each in its place, without names.
    """

    name: str
    product: Product
    beads: tuple[Beads, ...] = ()
    schema: Schema = "AP214IS"
    unit: FileUnit = "MM"
    loose: bool = False

    @property
    def drawn(self) -> tuple[DrawnPart, ...]:
        """Every part in the frame of the weldment, its name with those of the products it lies in; ids are each one's own."""
        return tuple(_flattened(self.product, np.eye(4), (), ""))

    @property
    def parts(self) -> tuple[Part, ...]:
        """Every part in the frame of the weldment."""
        return tuple(drawn.part for drawn in self.drawn)


def _flattened(product: Product, frame: Array, path: tuple[str, ...], prefix: str) -> Iterator[DrawnPart]:
    for drawn in product.parts:
        part = replace(drawn.part, id=prefix + drawn.part.id, pose=moved(drawn.part.pose, frame))
        yield replace(drawn, name="/".join((*path, drawn.name)), part=part)
    for placed in product.members:
        yield from _flattened(placed.product, frame @ placed.frame, (*path, placed.name), f"{prefix}{placed.name}.")


def moved(pose: Pose, frame: Array) -> Pose:
    """Return a pose as seen from the parent of a frame (4x4)."""
    at = frame[:3, :3] @ np.array(pose.at) + frame[:3, 3]
    along, up = (frame[:3, :3] @ np.array(way) for way in (pose.along, pose.up))
    return Pose(_point(at), _point(along), _point(up))


def place(at: Point3 = (0, 0, 0), turn: float = 0.0, about: Point3 = Z) -> Array:
    """Return the frame that is turned by some degrees about an axis through the origin and then moved to `at` (Rodrigues)."""
    a, angle = np.array(about) / np.linalg.norm(about), math.radians(turn)
    cross = np.array([[0, -a[2], a[1]], [a[2], 0, -a[0]], [-a[1], a[0], 0]])
    frame = np.eye(4)
    frame[:3, :3] = np.eye(3) + math.sin(angle) * cross + (1 - math.cos(angle)) * cross @ cross
    frame[:3, 3] = at
    return frame


def one_level(name: str, *parts: DrawnPart, at: Array | None = None) -> Product:
    """Return parts as one product, or as one that is placed at `at` in an outer one."""
    inner = Product(name, parts)
    return inner if at is None else Product(f"{name}, set up", (), (Placed("set", inner, at),))


def member(
    id: str, section: Section, length: float, at: Point3, along: Point3, up: Point3, cuts: Sequence[PlaneCut] = (), name: str = ""
) -> DrawnPart:
    """Return a part that is no plate with arcs; cuts are planes in the frame of its product."""
    pose = Pose(at, along, up)
    return DrawnPart(name or id, Part(id, section, length, pose, cuts=tuple(_local(cut, pose) for cut in cuts)))


def plane(point: Point3, normal: Point3) -> PlaneCut:
    """Return a cut: what lies to the side of its normal is taken away."""
    return PlaneCut(point, normal)


def _local(cut: PlaneCut, pose: Pose) -> PlaneCut:
    frame = pose.frame()
    turned = frame[:3, :3].T
    return PlaneCut(_point(turned @ (np.array(cut.point) - frame[:3, 3])), _point(turned @ np.array(cut.normal)))


def _point(values: Array) -> Point3:
    x, y, z = (float(value) for value in values)
    return x, y, z


# --- sections -----------------------------------------------------------------------------------------------------------


def square(width: float, wall: float, radius: float | None = None) -> Section:
    """A square tube."""
    return Section("square_tube", width=width, wall=wall, corner_radius=radius)


def rect(width: float, height: float, wall: float, radius: float | None = None) -> Section:
    """A rectangular tube, `width` along u."""
    return Section("rect_tube", width=width, height=height, wall=wall, corner_radius=radius)


def pipe(diameter: float, wall: float) -> Section:
    """A round tube."""
    return Section("round_tube", diameter=diameter, wall=wall)


def rod(diameter: float) -> Section:
    """A round bar."""
    return Section("round_bar", diameter=diameter)


def angle(leg_a: float, leg_b: float, thickness: float) -> Section:
    """An angle."""
    return Section("angle", leg_a=leg_a, leg_b=leg_b, thickness=thickness)


def channel(height: float, flange: float, web: float, flange_thickness: float) -> Section:
    """A channel."""
    return Section("channel", height=height, flange=flange, web=web, flange_thickness=flange_thickness)


def flat(width: float, thickness: float) -> Section:
    """A flat bar."""
    return Section("flat_bar", width=width, thickness=thickness)


# --- plates -------------------------------------------------------------------------------------------------------------


def box_plate(id: str, low: Point3, high: Point3, name: str = "") -> DrawnPart:
    """A level rectangular plate between two corners, its thickness upwards."""
    outline = ((0.0, 0.0), (high[0] - low[0], 0.0), (high[0] - low[0], high[1] - low[1]), (0.0, high[1] - low[1]))
    return plate(id, outline, high[2] - low[2], low, Z, Y, name=name)


def plate(
    id: str, outline: Sequence[Point2], thickness: float, at: Point3, along: Point3, up: Point3, name: str = "",
    cutouts: Sequence[Sequence[Point2]] = (),
) -> DrawnPart:  # fmt: skip
    """A plate with straight sides."""
    section = Section("plate", plate_outline=tuple(outline), plate_cutouts=tuple(tuple(ring) for ring in cutouts))
    return DrawnPart(name or id, Part(id, section, thickness, Pose(at, along, up)))


def bent_plate(
    id: str, outline: Sequence[Bent], cutouts: Sequence[Sequence[Bent]], thickness: float, at: Point3, along: Point3, up: Point3
) -> DrawnPart:
    """A plate whose sides and cut-outs may be arcs; as a part it has polygons in their place."""
    rings = tuple(outline), tuple(tuple(ring) for ring in cutouts)
    section = Section(
        "plate", plate_outline=polygon(rings[0], grow=True), plate_cutouts=tuple(polygon(ring, grow=False) for ring in rings[1])
    )
    return DrawnPart(id, Part(id, section, thickness, Pose(at, along, up)), *rings)


def hole(centre: Point2, diameter: float) -> tuple[Bent, ...]:
    """A round cut-out: two half circles."""
    return (centre[0] - diameter / 2, centre[1], 1.0), (centre[0] + diameter / 2, centre[1], 1.0)


def polygon(ring: Sequence[Bent], grow: bool) -> tuple[Point2, ...]:
    """Return a ring with arcs as sides of a polygon of 48 a turn: around the metal (`grow`, of an outline's round corners), else within."""
    found: list[Point2] = []
    for (u, v, bend), end in zip(ring, (*ring[1:], ring[0]), strict=True):
        found.append((u, v))
        if not bend:
            continue
        centre, radius, first, sweep = arc_of((u, v), (end[0], end[1]), bend)
        steps = max(1, round(abs(sweep) / (2 * math.pi / FINENESS)))
        around = grow and bend > 0
        shares = [(step + 0.5) / steps for step in range(steps)] if around else [step / steps for step in range(1, steps)]
        reach = radius / math.cos(sweep / steps / 2) if around else radius
        found += [
            (centre[0] + reach * math.cos(first + sweep * s), centre[1] + reach * math.sin(first + sweep * s)) for s in shares
        ]
    return tuple(found)


def arc_of(start: Point2, end: Point2, bend: float) -> tuple[Point2, float, float, float]:
    """Return an arc's centre, radius, first angle and sweep (both radians, counter-clockwise positive)."""
    chord = math.dist(start, end)
    sweep = 4 * math.atan(bend)
    radius = chord / (2 * math.sin(abs(sweep) / 2))
    off = (chord / 2) / math.tan(sweep / 2)  # from the middle of the chord to the centre, to the left of it
    way = ((end[0] - start[0]) / chord, (end[1] - start[1]) / chord)
    centre = ((start[0] + end[0]) / 2 - off * way[1], (start[1] + end[1]) / 2 + off * way[0])
    return centre, radius, math.atan2(start[1] - centre[1], start[0] - centre[0]), sweep
