"""Whether a part that was read is the body that was drawn, whatever way round its section was put.

A square tube may be read turned by a quarter, an angle from its other end with its legs exchanged, a rectangular plate as a flat bar,
a disc as a round bar. What is compared does not depend on that: the corners of the body in the frame of the weldment - of tubes the
ends of their flats -, radii and walls, the end planes of round parts, and of plates with arcs the outline itself. Everything is equal
to 0.01 mm.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

import numpy as np

from inventory.shapes import Array
from solver.sections import signed_area
from solver.weldment import Part
from tests.drawn_weldments.drawn_weldment import Bent, DrawnPart, arc_of, polygon

NEAR = 0.01
"""Points this near are one, mm."""
ARC = 0.003
"""How far a corner of a polygon may be from the arc it stands for, as a share of the diameter."""
AREA = 0.003
"""How much an outline with arcs may differ in area, as a share."""
AROUND = 720


def differences(drawn: DrawnPart, read: Part) -> list[str]:
    """Return in what a part that was read differs from the one that was drawn."""
    own = drawn.part
    if drawn.bends:
        return list(_outline_differences(drawn, read))
    if own.section.round:
        return list(_round_differences(own, read))
    found = [f"{name} {mine} is {theirs}" for name, mine, theirs in _sizes(own, read) if abs(mine - theirs) > NEAR]
    return found + list(_unequal(corners_of(own), corners_of(read), "corner"))


def _sizes(own: Part, read: Part) -> Iterator[tuple[str, float, float]]:
    yield "corner radius", own.section.outside_radius, read.section.outside_radius
    yield "hollow", own.section.hollow, read.section.hollow
    yield "wall", own.section.sizes.get("wall", 0.0), read.section.sizes.get("wall", 0.0)


def _unequal(own: Array, read: Array, what: str) -> Iterator[str]:
    """Yield the rows of each that the other lacks."""
    apart = np.linalg.norm(own[:, None] - read[None], axis=2)
    yield from (f"{what} {point.round(3).tolist()} is not there" for point in own[(apart > NEAR).all(axis=1)])
    yield from (f"{what} {point.round(3).tolist()} is too many" for point in read[(apart > NEAR).all(axis=0)])


# --- what planes leave of a section -------------------------------------------------------------------------------------


def _bounds(part: Part) -> tuple[Array, Array]:
    """Return what bounds the part along w below and above, each a row (a, b, c) of w = a u + b v + c."""
    below, above = [(0.0, 0.0, 0.0)], [(0.0, 0.0, part.length)]
    for cut in part.cuts:
        u, v, w = cut.normal
        assert abs(w) > 1e-6, "a cut along the part"
        (above if w > 0 else below).append((-u / w, -v / w, cut.offset / w))
    return np.array(below), np.array(above)


def corners_of(part: Part) -> Array:
    """Return the corners (n, 3) of a part that is not round, in the frame of the weldment; of tubes the ends of their flats."""
    section = part.section
    if section.box is not None:
        radius, wall = section.outside_radius, section.sizes.get("wall", 0.0)
        rings = [_flat_ends(*section.box, radius)]
        if section.hollow:
            rings.append(_flat_ends(section.box[0] - 2 * wall, section.box[1] - 2 * wall, max(0.0, radius - wall)))
    else:
        rings = [np.array(ring, dtype=float) for ring in (section.outline, *section.cutouts)]
    below, above = _bounds(part)
    found = []
    for ring in rings:
        for start, end in zip(ring, np.roll(ring, -1, axis=0), strict=True):
            for place in _places(start, end, below, above):
                row = np.array([*place, 1.0])
                low, high = (below @ row).max(), (above @ row).min()
                if high >= low - NEAR / 10:
                    found += [(*place, low), (*place, high)]
    return _placed(part, np.array(found))


def _flat_ends(width: float, height: float, radius: float) -> Array:
    """Return where the flats of a rectangle with rounded corners end, counter-clockwise; sharp corners twice."""
    u, v = width / 2, height / 2
    corner = np.array([(u, v - radius), (u - radius, v)])
    ends = [*corner, *(corner[::-1] * (-1, 1)), *(-corner), *(corner[::-1] * (1, -1))]
    return np.array(ends)


def _places(start: Array, end: Array, below: Array, above: Array) -> Iterator[Array]:
    """Yield where along an edge of the outline corners are: at its start, and where another bound begins to count."""
    yield start
    ends = np.array([[*start, 1.0], [*end, 1.0]])
    for one in range(len(below) + len(above)):
        for other in range(one):
            first, second = (np.concatenate([below, above])[k] for k in (one, other))
            at_start, at_end = ends @ (first - second)
            if at_start * at_end < 0:
                place = start + (end - start) * at_start / (at_start - at_end)
                row = np.array([*place, 1.0])
                counts = {(below @ row).max(), (above @ row).min()}
                if any(abs(float(first @ row) - value) < NEAR / 100 for value in counts):
                    yield place


def _placed(part: Part, points: Array) -> Array:
    frame = part.pose.frame()
    placed: Array = points @ frame[:3, :3].T + frame[:3, 3]
    return placed


def length_left(part: Part) -> float:
    """Return how long along itself a part is, mm, what its cuts take away left out."""
    frame = part.pose.frame()
    points = _round_rim(part) if part.section.round else corners_of(part)
    return float(np.ptp((points - frame[:3, 3]) @ frame[:3, 2]))


# --- round parts --------------------------------------------------------------------------------------------------------


def _round_rim(part: Part) -> Array:
    """Return points (n, 3) around both ends of a round part."""
    angles = np.arange(AROUND) * 2 * math.pi / AROUND
    radius = part.section.sizes["diameter"] / 2
    around = np.stack([radius * np.cos(angles), radius * np.sin(angles), np.ones(AROUND)], axis=1)
    below, above = _bounds(part)
    ends = [(around @ below.T).max(axis=1), (around @ above.T).min(axis=1)]
    return _placed(part, np.concatenate([np.column_stack([around[:, :2], w]) for w in ends]))


def _round_differences(own: Part, read: Part) -> Iterator[str]:
    """Yield differences of a round part; a disc may be a plate whose outline is a polygon around it."""
    if read.section.shape == "plate" and own.section.shape == "round_bar" and not own.cuts:
        radius = own.section.sizes["diameter"] / 2
        rounded: tuple[Bent, ...] = ((radius, 0.0, 1.0), (-radius, 0.0, 1.0))
        yield from _outline_differences(DrawnPart("disc", own, rounded), read)
        return
    if not read.section.round:
        yield f"a {own.section.shape} is read as {read.section.shape}"
        return
    for name in ("diameter", "wall"):
        mine, theirs = own.section.sizes.get(name, 0.0), read.section.sizes.get(name, 0.0)
        if abs(mine - theirs) > NEAR:
            yield f"{name} {mine} is {theirs}"
    yield from _unequal(_end_planes(own), _end_planes(read), "end at, normal x radius")


def _end_planes(part: Part) -> Array:
    """Return for each end plane of a round part that bounds it where its axis meets it, and its normal as long as the radius."""
    radius = part.section.sizes["diameter"] / 2
    angles = np.arange(AROUND) * 2 * math.pi / AROUND
    around = np.stack([radius * np.cos(angles), radius * np.sin(angles), np.ones(AROUND)], axis=1)
    frame, rows = part.pose.frame(), []
    for bounds, sense in zip(_bounds(part), (-1.0, 1.0), strict=True):
        heights = sense * (around @ bounds.T)
        for bound, height in zip(bounds, heights.T, strict=True):
            if (height < heights.min(axis=1) + 1e-9).sum() < 3:  # it touches the rim at most
                continue
            normal = sense * np.array([-bound[0], -bound[1], 1.0])
            normal = frame[:3, :3] @ normal / np.linalg.norm(normal)
            rows.append([*(frame[:3, 3] + bound[2] * frame[:3, 2]), *(radius * normal)])
    return np.array(rows)


# --- plates with arcs ---------------------------------------------------------------------------------------------------


def _outline_differences(drawn: DrawnPart, read: Part) -> Iterator[str]:
    own, frame = drawn.part, drawn.part.pose.frame()
    if read.section.shape != "plate":
        yield f"a plate is read as {read.section.shape}"
        return
    rings = []
    for ring in (read.section.plate_outline, *read.section.plate_cutouts):
        flat = np.array([(u, v, w) for w in (0.0, read.length) for u, v in ring])
        local = (_placed(read, flat) - frame[:3, 3]) @ frame[:3, :3]
        off = np.minimum(np.abs(local[:, 2]), np.abs(local[:, 2] - own.length)).max()
        if off > NEAR or abs(np.ptp(local[:, 2]) - own.length) > NEAR:
            yield f"its faces are {off:.3f} mm off, {np.ptp(local[:, 2]):.3f} mm apart"
        rings.append(local[: len(ring), :2])
    if len(rings) != 1 + len(drawn.cutouts):
        yield f"{len(rings) - 1} cut-outs, {len(drawn.cutouts)} were drawn"
        return
    yield from _ring_differences(drawn.outline, rings[0], grow=True)
    left = rings[1:]
    for cutout in drawn.cutouts:
        middle = np.array([(u, v) for u, v, _ in cutout]).mean(axis=0)
        nearest = min(range(len(left)), key=lambda k: math.dist(left[k].mean(axis=0), middle))
        yield from _ring_differences(cutout, left.pop(nearest), grow=False)


def _ring_differences(drawn: Sequence[Bent], read: Array, grow: bool) -> Iterator[str]:
    sides = list(zip(drawn, (*drawn[1:], drawn[0]), strict=True))
    for (before, _), (corner, _) in zip((sides[-1], *sides[:-1]), sides, strict=True):
        if not before[2] and not corner[2] and np.linalg.norm(read - corner[:2], axis=1).min() > NEAR:
            yield f"there is no corner at {corner[:2]}"
    for point in read:
        if min(_off_side(point, start, end) for start, end in sides) > 0:
            yield f"corner {point.round(3).tolist()} is off the outline"
    area, drawn_area = abs(signed_area(tuple(map(tuple, read)))), abs(signed_area(polygon(drawn, grow)))
    if abs(area - drawn_area) > AREA * drawn_area:
        yield f"area {area:.2f}, drawn {drawn_area:.2f}"


def _off_side(point: Array, start: Bent, end: Bent) -> float:
    """Return how far a point is from a side of an outline beyond what is allowed there, mm."""
    if not start[2]:
        way = np.subtract(end[:2], start[:2])
        share = float(np.clip((point - start[:2]) @ way / (way @ way), 0, 1))
        return max(0.0, float(np.linalg.norm(point - start[:2] - share * way)) - NEAR)
    centre, radius, first, sweep = arc_of((start[0], start[1]), (end[0], end[1]), start[2])
    turned = math.atan2(point[1] - centre[1], point[0] - centre[0]) - first
    turned = math.copysign(1, sweep) * turned % (2 * math.pi)
    if turned > abs(sweep) + 0.1 and turned < 2 * math.pi - 0.1:
        return math.inf
    return max(0.0, abs(math.dist(point, centre) - radius) - ARC * 2 * radius - NEAR)
