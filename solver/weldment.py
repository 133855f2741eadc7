"""What must be held: parts, welds, tolerances, open dimensions. Lengths mm, weldment frame.

Every value raises InvalidDocument with all its faults, at pointers by the documents' field names; directions are
normalised as the value is made. Whether cuts leave one piece, parts overlap and welds lie on their parts is judged by
`solver.laying.fit`.

A part of section ``body`` is the convex outer body around something that is no profile. It takes up room: hardware, torch, hand
and table keep clear of it. It has no face, so nothing locates, clamps or carries it, and it is never held against other parts.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence, Set
from dataclasses import dataclass, field, replace
from itertools import pairwise
from typing import Literal, get_args

import numpy as np

from inventory import limits
from inventory.cuts import cut_faults
from inventory.errors import Fault, refuse
from inventory.shapes import Array, PlaneCut, Point3, Prism, as_matrix
from solver.sections import Section

Material = Literal["steel", "stainless", "aluminium"]
WeldKind = Literal["fillet", "butt", "corner", "lap", "flare"]
InFixture = Literal["full", "tack", "none"]
LengthUnit = Literal["mm", "inch"]
WELD_KINDS: tuple[WeldKind, ...] = get_args(WeldKind)
LEGGED: tuple[WeldKind, ...] = ("fillet", "lap")
RESERVED = "table"
ACCEPTED_PART = "a part of another section"
PARALLEL = 1e-6
"""Sine of the least angle between `along` and `up`."""


@dataclass(frozen=True, slots=True)
class Pose:
    """Where a part sits: the section's origin at `at`, w runs `along`, v points `up`, u = v x w.

    Directions of any length are taken; they are kept as unit vectors, `up` square to `along`.
    """

    at: Point3
    along: Point3
    up: Point3

    def __post_init__(self) -> None:
        refuse(_pose_faults(self))
        along, up = limits.unit(self.along), limits.unit(self.up)
        lean = math.fsum(a * b for a, b in zip(along, up, strict=True))
        if lean:
            up = limits.unit([b - lean * a for a, b in zip(along, up, strict=True)])
        object.__setattr__(self, "along", along)
        object.__setattr__(self, "up", up)

    def frame(self) -> Array:
        """Return the 4x4 frame with columns u, v, w, origin."""
        w, v = np.array(self.along), np.array(self.up)
        frame = np.eye(4)
        frame[:3, 0], frame[:3, 1], frame[:3, 2], frame[:3, 3] = np.cross(v, w), v, w, self.at
        return frame


@dataclass(frozen=True, slots=True)
class Part:
    """One part: a section extruded from w = 0 to `length` (a plate's thickness) at a pose.

    `cuts` are planes in the section's own frame that take something off it: mitred and sloped ends. What is left is one piece.
    """

    id: str
    section: Section
    length: float
    pose: Pose
    material: Material = "steel"
    name: str = ""
    cuts: tuple[PlaneCut, ...] = ()

    def __post_init__(self) -> None:
        refuse(_part_faults(self))

    def placed(self, frame: Array) -> Prism:
        """Return the part as a solid whose section's origin and directions are those of `frame` (4x4)."""
        return Prism(self.section.outline, 0.0, self.length, self.section.cutouts, as_matrix(frame), self.cuts)

    @property
    def face_labels(self) -> tuple[str, ...]:
        """The names its faces may have, those among them that a cut takes away; of a round part `side:0` is all around.

        A body has none.
        """
        if self.body:
            return ()
        sides = ("side:0",) if self.section.round else tuple(edge.label for edge in self.section.edges)
        cuts = range(len(self.cuts))
        return ("start", "end", *sides, *(f"cut:{k}" for k in cuts), *(f"tip:{k}" for k in cuts))

    @property
    def body(self) -> bool:
        """Whether it is a convex outer body: it takes up room and is not located, clamped or held."""
        return self.section.body

    @property
    def flat(self) -> bool:
        """Whether it is a plate: of section ``plate`` and thinner than it is wide; any other part runs along its length."""
        return self.section.shape == "plate" and self.length < float(np.ptp(self.section.outline, axis=0).max())

    @property
    def drawn(self) -> Prism:
        """The part as a solid in the weldment's frame."""
        return self.placed(self.pose.frame())


@dataclass(frozen=True, slots=True)
class Weld:
    """One bead between two parts along a polyline; `leg` or `throat` in mm, the other is None."""

    id: str
    parts: tuple[str, str]
    path: tuple[Point3, ...]
    kind: WeldKind
    leg: float | None = None
    throat: float | None = None
    in_fixture: InFixture = "full"
    process: str = ""
    side: Point3 | None = None

    def __post_init__(self) -> None:
        refuse(_weld_faults(self))
        if self.side is not None:
            object.__setattr__(self, "side", limits.unit(self.side))

    @property
    def closed(self) -> bool:
        """Whether the path ends where it starts."""
        return len(self.path) > 2 and self.path[0] == self.path[-1]


@dataclass(frozen=True, slots=True)
class Tolerance:
    """How far locating alone may move `point` of a part along `direction` (unit), absolutely or relative to a part."""

    part: str
    point: Point3
    direction: Point3
    plus_minus: float
    relative_to: str | None = None

    def __post_init__(self) -> None:
        refuse(_tolerance_faults(self))
        object.__setattr__(self, "direction", limits.unit(self.direction))


@dataclass(frozen=True, slots=True)
class OpenDimension:
    """A dimension not known yet: hardware contacts along `direction` must follow the range about nominal, mm."""

    part: str
    direction: Point3
    low: float
    high: float

    def __post_init__(self) -> None:
        refuse(_open_dimension_faults(self))
        object.__setattr__(self, "direction", limits.unit(self.direction))


@dataclass(frozen=True, slots=True)
class StoredVersion:
    """Which version of which stored weldment a weldment is; `fingerprint` is a SHA-256 of what it says, in hexadecimal."""

    id: str
    version: int
    fingerprint: str


@dataclass(frozen=True, slots=True)
class Weldment:
    """Parts joined by welds. All lengths are mm; `units` is what they were given in, for showing them so.

    `stored` says which stored weldment it is, if it is one; nothing depends on it.
    """

    parts: tuple[Part, ...]
    welds: tuple[Weld, ...] = ()
    name: str = ""
    tolerances: tuple[Tolerance, ...] = ()
    open_dimensions: tuple[OpenDimension, ...] = ()
    units: LengthUnit = field(default="mm", compare=False)
    stored: StoredVersion | None = field(default=None, compare=False)

    def __post_init__(self) -> None:
        refuse(
            (
                *limits.one_of_faults("/units", self.units, get_args(LengthUnit)),
                *limits.name_faults("/name", self.name),
                *counts_faults(self.parts, self.welds, self.tolerances, self.open_dimensions),
                *naming_faults(self.parts, self.welds, self.tolerances, self.open_dimensions),
                *body_faults(self.parts, self.welds, self.tolerances, self.open_dimensions),
            )
        )

    @property
    def bodies(self) -> tuple[Part, ...]:
        """The parts that only take up room."""
        return tuple(part for part in self.parts if part.body)

    def without_bodies(self) -> Weldment:
        """Return what a fixture locates, clamps and holds: without its bodies and the welds that join them."""
        bodies = {part.id for part in self.bodies}
        if not bodies:
            return self
        located = tuple(part for part in self.parts if not part.body)
        return replace(self, parts=located, welds=tuple(weld for weld in self.welds if not bodies & set(weld.parts)))

    def part(self, id: str) -> Part:
        """Return the part of that id; raises KeyError."""
        for part in self.parts:
            if part.id == id:
                return part
        raise KeyError(id)


def counts_faults(
    parts: Sequence[object], welds: Sequence[object], tolerances: Sequence[object], open_dimensions: Sequence[object]
) -> Iterator[Fault]:
    """Yield a fault for each list of a weldment that is too short or too long."""
    if not 1 <= len(parts) <= limits.PARTS:
        yield Fault("/parts", f"{len(parts)} parts", f"1 to {limits.PARTS} parts")
    if len(welds) > limits.WELDS:
        yield Fault("/welds", f"{len(welds)} welds", f"at most {limits.WELDS} welds")
    for name, entries in (("tolerances", tolerances), ("open_dimensions", open_dimensions)):
        if len(entries) > limits.TOLERANCES:
            yield Fault(f"/{name}", f"{len(entries)} {name}", f"at most {limits.TOLERANCES}")


def naming_faults(
    parts: Sequence[Part | None],
    welds: Sequence[Weld | None] = (),
    tolerances: Sequence[Tolerance | None] = (),
    open_dimensions: Sequence[OpenDimension | None] = (),
    also_known: Set[str] | None = frozenset(),
) -> Iterator[Fault]:
    """Yield ids that stand there twice and names of parts that do not exist.

    Parameters
    ----------
    parts, welds, tolerances, open_dimensions : sequences
        None stands for an entry that is at fault already.
    also_known : set of str or None
        Ids of parts at fault already; None if such an id cannot be known, and then no name is called unknown.
    """
    yield from limits.repeated_faults(((f"/parts/{k}/id", part.id if part else None) for k, part in enumerate(parts)), "part id")
    yield from limits.repeated_faults(((f"/welds/{k}/id", weld.id if weld else None) for k, weld in enumerate(welds)), "weld id")
    if also_known is None or not parts:
        return
    known = {part.id for part in parts if part} | also_known
    named: list[tuple[str, str | None]] = []
    for k, weld in enumerate(welds):
        if weld:
            named += [(f"/welds/{k}/parts/0", weld.parts[0]), (f"/welds/{k}/parts/1", weld.parts[1])]
    for k, tolerance in enumerate(tolerances):
        if tolerance:
            named += [(f"/tolerances/{k}/part", tolerance.part), (f"/tolerances/{k}/relative_to", tolerance.relative_to)]
    named += [(f"/open_dimensions/{k}/part", entry.part) for k, entry in enumerate(open_dimensions) if entry]
    for pointer, id in named:
        if id is not None and id not in known:
            yield Fault(pointer, f"there is no part {limits.shown(id)}", limits.suggestion(id, known, "a part"))


def body_faults(
    parts: Sequence[Part | None],
    welds: Sequence[Weld | None] = (),
    tolerances: Sequence[Tolerance | None] = (),
    open_dimensions: Sequence[OpenDimension | None] = (),
) -> Iterator[Fault]:
    """Yield what is asked of bodies that only a located part can keep; None stands for an entry at fault already."""
    bodies = {part.id for part in parts if part and part.body}
    if not bodies:
        return
    if all(part is not None and part.body for part in parts):
        yield Fault("/parts", "all parts are bodies: there is nothing to locate", "at least one part of another section")
    for k, weld in enumerate(welds):
        joined = [id for id in weld.parts if id in bodies] if weld and weld.in_fixture != "none" else []
        if joined:
            wrong = f"it joins {limits.shown(joined[0])}, a body: no fixture locates it, and its joint is not known"
            yield Fault(f"/welds/{k}/in_fixture", wrong, "none: the bead is made out of the fixture")
    for k, tolerance in enumerate(tolerances):
        for name, id in (("part", tolerance.part), ("relative_to", tolerance.relative_to)) if tolerance else ():
            if id in bodies:
                yield Fault(f"/tolerances/{k}/{name}", f"{limits.shown(id)} is a body: no fixture locates it", ACCEPTED_PART)
    for k, entry in enumerate(open_dimensions):
        if entry and entry.part in bodies:
            wrong = f"{limits.shown(entry.part)} is a body: no hardware touches it, so none can follow"
            yield Fault(f"/open_dimensions/{k}/part", wrong, ACCEPTED_PART)


def _pose_faults(pose: Pose) -> Iterator[Fault]:
    yield from limits.point_faults("/at", pose.at, 3)
    directions = [*limits.direction_faults("/along", pose.along, 3), *limits.direction_faults("/up", pose.up, 3)]
    yield from directions
    if directions:
        return
    (a, b, c), (d, e, f) = limits.unit(pose.along), limits.unit(pose.up)
    if math.hypot(b * f - c * e, c * d - a * f, a * e - b * d) < PARALLEL:
        yield Fault("/up", "up is parallel to along", "a direction at an angle to along; it is made square to it")


def _part_faults(part: Part) -> Iterator[Fault]:
    yield from limits.id_faults("/id", part.id)
    if part.id == RESERVED:
        yield Fault("/id", f"{RESERVED!r} is reserved for the table itself", "another id")
    yield from limits.name_faults("/name", part.name)
    yield from limits.one_of_faults("/material", part.material, get_args(Material))
    at = "/section/thickness" if part.section.shape == "plate" else "/length"
    sizes = list(limits.SIZE.faults(at, part.length))
    yield from sizes
    if part.cuts and not sizes:
        yield from cut_faults("/cuts", part.section.outline, part.section.cutouts, (0.0, part.length), part.cuts)


def _weld_faults(weld: Weld) -> Iterator[Fault]:
    yield from limits.id_faults("/id", weld.id)
    yield from limits.one_of_faults("/kind", weld.kind, WELD_KINDS)
    yield from limits.one_of_faults("/in_fixture", weld.in_fixture, get_args(InFixture))
    yield from limits.name_faults("/process", weld.process)
    if len(weld.parts) != 2:
        yield Fault("/parts", f"{len(weld.parts)} parts", "2 part ids")
    elif weld.parts[0] == weld.parts[1]:
        yield Fault("/parts", f"the weld joins {limits.shown(weld.parts[0])} to itself", "two different parts")
    yield from _path_faults(weld.path)
    yield from _bead_faults(weld)
    if weld.side is not None:
        yield from limits.direction_faults("/side", weld.side, 3)


def _path_faults(path: tuple[Point3, ...]) -> Iterator[Fault]:
    if not 2 <= len(path) <= limits.VERTICES:
        yield Fault("/path", f"{len(path)} points", f"2 to {limits.VERTICES} points")
        return
    numbers = [fault for k, point in enumerate(path) for fault in limits.point_faults(f"/path/{k}", point, 3)]
    yield from numbers
    if numbers:
        return
    steps = [math.dist(a, b) for a, b in pairwise(path)]
    if max(steps) < limits.SPACING:
        yield Fault("/path", "the path has no length", "points that differ")
        return
    for k, step in enumerate(steps):
        if step < limits.SPACING:
            yield Fault(f"/path/{k + 1}", "the point repeats the one before", f"points at least {limits.SPACING} mm apart")


def _bead_faults(weld: Weld) -> Iterator[Fault]:
    legged = weld.kind in LEGGED
    if weld.leg is not None and not legged:
        yield Fault("/leg", f"a {weld.kind} weld has no leg", "a throat, or kind " + " or ".join(LEGGED))
    elif weld.leg is not None and weld.throat is not None:
        yield Fault("/throat", "both leg and throat are given", "one of the two")
    elif weld.leg is None and weld.throat is None and legged:
        yield Fault("/leg", f"a {weld.kind} weld without leg or throat", f"leg or throat: {limits.BEAD.accepted}")
    if weld.leg is not None and legged:
        yield from limits.BEAD.faults("/leg", weld.leg)
    if weld.throat is not None:
        yield from limits.BEAD.faults("/throat", weld.throat)


def _tolerance_faults(tolerance: Tolerance) -> Iterator[Fault]:
    yield from limits.id_faults("/part", tolerance.part)
    yield from limits.point_faults("/point", tolerance.point, 3)
    yield from limits.direction_faults("/direction", tolerance.direction, 3)
    yield from limits.TOLERANCE.faults("/plus_minus", tolerance.plus_minus)
    if tolerance.relative_to == tolerance.part:
        yield Fault("/relative_to", f"{limits.shown(tolerance.part)} is relative to itself", "another part, or nothing")


def _open_dimension_faults(entry: OpenDimension) -> Iterator[Fault]:
    yield from limits.id_faults("/part", entry.part)
    yield from limits.direction_faults("/direction", entry.direction, 3)
    numbers = [*limits.COORDINATE.faults("/range/0", entry.low), *limits.COORDINATE.faults("/range/1", entry.high)]
    yield from numbers
    if not numbers and entry.low >= entry.high:
        wrong = f"the range runs from {limits.plain(entry.low)} to {limits.plain(entry.high)} mm"
        yield Fault("/range", wrong, "two numbers about nominal, the lower first")
