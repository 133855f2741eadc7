"""The weldment as it lies, by plain arithmetic: parts as boxes with named flat faces, what lies against what, torch samples."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from inventory.shapes import Array, turned
from solver.checks.rules.lie import DOWN
from solver.checks.scene.wedge import drawn_wedge
from solver.request import Request
from solver.weldment import Part, Weld
from tests.oracle.boxes import box_of

TOUCH = 0.05
FACING = 0.99


@dataclass(frozen=True)
class Flat:
    """A flat face of a part: its label, axis and sense of its outward normal, and the flat box (6,) it fills.

    `hollow` is the flat box of what is missing in the middle of a tube's end.
    """

    part: int
    label: str
    axis: int
    sense: int
    box: Array
    hollow: Array | None = None

    @property
    def plane(self) -> float:
        """Where its plane cuts its axis."""
        return float(self.box[self.axis])


@dataclass(frozen=True)
class LyingPart:
    """A part as it lies."""

    part: Part
    index: int
    box: Array
    flats: tuple[Flat, ...]

    @property
    def centre(self) -> Array:
        """Its centre of gravity: sections are even about their middle."""
        middle: Array = (self.box[:3] + self.box[3:]) / 2
        return middle

    @property
    def length(self) -> float:
        """Its length; of a plate, its longest extent."""
        return self.part.length if self.part.section.shape != "plate" else float(np.max(self.box[3:] - self.box[:3]))


@dataclass(frozen=True)
class Mate:
    """Two parts that lie against each other: `normal` points from `on` into `part`, `patch` is the flat box both share."""

    part: int
    on: int
    normal: Array
    patch: Array

    @property
    def other_way(self) -> Mate:
        """The same with the parts' turns changed."""
        return Mate(self.on, self.part, -self.normal, self.patch)


@dataclass(frozen=True)
class Sample:
    """A place on a weld, and the torch directions (n, 3) allowed there."""

    weld: int
    at: Array
    torches: Array


@dataclass(frozen=True)
class Lying:
    """A weldment under one lie, its lowest point at `lift`."""

    request: Request
    down: str
    turn: float
    lift: float
    place: Array
    parts: tuple[LyingPart, ...]
    mates: tuple[Mate, ...]
    beads: tuple[Array, ...]
    samples: tuple[Sample, ...]

    @property
    def boxes(self) -> Array:
        """The parts' boxes (n, 6)."""
        return np.array([part.box for part in self.parts])


def lay(request: Request, down: str, turn: float, lift: float = 0.0) -> Lying:
    """Return the weldment with a side down, turned, and lifted; its corner nearest the origin stands at (0, 0)."""
    place = turned(turn)
    place[:3, :3] = place[:3, :3] @ np.array(DOWN[down], dtype=float)
    boxes = [_box(part, place) for part in request.weldment.parts]
    low = np.min(boxes, axis=0)[:3]
    place[:3, 3] = -low + np.array([0.0, 0.0, lift])
    parts = tuple(
        LyingPart(part, k, _box(part, place), tuple(_flats(part, k, place))) for k, part in enumerate(request.weldment.parts)
    )
    beads = tuple(np.array(weld.path) @ place[:3, :3].T + place[:3, 3] for weld in request.weldment.welds)
    return Lying(request, down, turn, lift, place, parts, tuple(_mates(parts)), beads, tuple(_samples(request, place)))


def _box(part: Part, place: Array) -> Array:
    return box_of(part.drawn, place)


def _flats(part: Part, index: int, place: Array) -> Iterator[Flat]:
    frame = place @ part.pose.frame()
    for label, normal, low, high, hollow in _local_flats(part):
        corners = np.array([low, high]) @ frame[:3, :3].T + frame[:3, 3]
        box = np.concatenate([corners.min(axis=0), corners.max(axis=0)])
        outward = frame[:3, :3] @ normal
        axis = int(np.abs(outward).argmax())
        if abs(outward[axis]) < 1 - 1e-6:
            raise ValueError(f"{part.id} does not lie along the table's axes")
        gone = None
        if hollow is not None:
            inner = np.array(hollow) @ frame[:3, :3].T + frame[:3, 3]
            gone = np.concatenate([inner.min(axis=0), inner.max(axis=0)])
        yield Flat(index, label, axis, 1 if outward[axis] > 0 else -1, box, gone)


def _local_flats(part: Part) -> Iterator[tuple[str, Array, Array, Array, list[Array] | None]]:
    """Yield (label, normal, low corner, high corner, hollow) of every flat face in the section's own frame."""
    section, length = part.section, part.length
    ring = np.array(section.outline)
    (u0, v0), (u1, v1) = ring.min(axis=0), ring.max(axis=0)
    corner, hollow = _corner(part), None
    for w, label, sense in ((0.0, "start", -1.0), (length, "end", 1.0)):
        if section.hollow:
            inner = np.array(section.cutouts[0])
            hollow = [np.array([*inner.min(axis=0), w]), np.array([*inner.max(axis=0), w])]
        yield label, np.array([0.0, 0.0, sense]), np.array([u0, v0 + corner, w]), np.array([u1, v1 - corner, w]), hollow
    if section.shape == "plate":
        yield from _edges(np.array(section.plate_outline), length)
        return
    u0c, v0c, u1c, v1c = u0 + corner, v0 + corner, u1 - corner, v1 - corner
    for label, normal, low, high in (
        ("side:0", (1, 0, 0), (u1, v0c), (u1, v1c)),
        ("side:1", (0, 1, 0), (u0c, v1), (u1c, v1)),
        ("side:2", (-1, 0, 0), (u0, v0c), (u0, v1c)),
        ("side:3", (0, -1, 0), (u0c, v0), (u1c, v0)),
    ):
        yield label, np.array(normal, dtype=float), np.array([*low, 0.0]), np.array([*high, length]), None


def _edges(ring: Array, thickness: float) -> Iterator[tuple[str, Array, Array, Array, None]]:
    following = np.roll(ring, -1, axis=0)
    area = float((ring[:, 0] * following[:, 1] - following[:, 0] * ring[:, 1]).sum())
    if len(ring) != 4:
        raise ValueError("plates are rectangles here")
    for k, (a, b) in enumerate(zip(ring, following, strict=True)):
        along = (b - a) / np.linalg.norm(b - a)
        normal = np.array([along[1], -along[0], 0.0]) * (1.0 if area > 0 else -1.0)
        yield f"side:{k}", normal, np.array([*a, 0.0]), np.array([*b, thickness]), None


def _corner(part: Part) -> float:
    section = part.section
    if section.shape not in ("square_tube", "rect_tube"):
        return 0.0
    wall = section.wall or 0.0
    usual = (2.0 if wall <= 6 else 2.5 if wall <= 10 else 3.0) * wall
    return usual if section.corner_radius is None else section.corner_radius


def _mates(parts: tuple[LyingPart, ...]) -> Iterator[Mate]:
    """Yield what lies against what: the upper one on the lower, the later one on the earlier where they stand side by side."""
    for one in parts:
        for other in parts[one.index + 1 :]:
            for a in one.flats:
                for b in other.flats:
                    if a.axis != b.axis or a.sense == b.sense or abs(a.plane - b.plane) > TOUCH:
                        continue
                    low, high = np.maximum(a.box[:3], b.box[:3]), np.minimum(a.box[3:], b.box[3:])
                    spans = np.delete(high - low, a.axis)
                    if spans.min() < 1.0:
                        continue
                    normal = np.zeros(3)
                    normal[a.axis] = a.sense
                    patch = np.concatenate([low, high])
                    patch[[a.axis, a.axis + 3]] = a.plane
                    mate = Mate(other.index, one.index, normal, patch)
                    yield mate.other_way if normal[2] < 0 else mate


def _samples(request: Request, place: Array) -> Iterator[Sample]:
    by_id = {part.id: part for part in request.weldment.parts}
    for k, weld in enumerate(request.weldment.welds):
        one, other = (by_id[id] for id in weld.parts)
        for segment in range(len(weld.path) - 1):
            wedge = drawn_wedge(weld, one, other, segment)
            start, end = np.array(weld.path[segment]), np.array(weld.path[segment + 1])
            if wedge is None:
                yield Sample(k, start, np.zeros((0, 3)))
                continue
            length = float(np.linalg.norm(end - start))
            torches = _torches(request, wedge.bisector, (end - start) / length) @ place[:3, :3].T
            for at in _places(request, weld, length):
                yield Sample(k, (start + (end - start) * at / length) @ place[:3, :3].T + place[:3, 3], torches)


def _places(request: Request, weld: Weld, length: float) -> list[float]:
    """Return where a straight bead is sampled: all along, or at its tacks."""
    rules = request.rules
    spans = [(0.0, length)]
    if weld.in_fixture == "none":
        return []
    if weld.in_fixture == "tack" and length > 2 * rules["tack.length"]:
        tack = rules["tack.length"]
        steps = max(1, math.ceil((length - tack) / rules["tack.pitch"] - 1e-9))
        spans = [(k * (length - tack) / steps, k * (length - tack) / steps + tack) for k in range(steps + 1)]
    found: list[float] = []
    for low, high in spans:
        count = max(1, math.ceil((high - low) / rules["torch.sample"] - 1e-9))
        found += [low + (high - low) * k / count for k in range(count + 1)]
    return found


def _torches(request: Request, bisector: Array, tangent: Array) -> Array:
    work, travel = (math.tan(math.radians(request.rules[f"torch.{name}"]) * 0.999) for name in ("work_tolerance", "travel_angle"))
    across = np.cross(tangent, bisector)
    shares = (0.0, 0.5, -0.5, 1.0, -1.0)
    away = np.array([bisector + w * work * across + t * travel * tangent for t in shares for w in shares])
    torches: Array = -away / np.linalg.norm(away, axis=1)[:, None]
    return torches
