"""Closed outlines in a plane: what makes one sound, and what makes cut-outs sound inside it."""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from inventory import limits
from inventory.errors import Fault

Point2 = tuple[float, float]
Point3 = tuple[float, float, float]
Ring = tuple[Point2, ...]
_Points = NDArray[np.float64]
_Marks = NDArray[np.bool_]


def face_faults(outline_at: str, cutouts_at: str, outline: Ring, cutouts: tuple[Ring, ...]) -> list[Fault]:
    """Return the faults of an outline and its cut-outs.

    Parameters
    ----------
    outline_at, cutouts_at : str
        JSON pointers to the outline and to the list of cut-outs.
    outline, cutouts : rings of (u, v), mm
        Simple, 3 to 1,000 vertices each, within 20 m; cut-outs strictly inside the outline and apart from each other.
    """
    try:
        own, inside = _face_faults(outline, cutouts)
    except TypeError:  # lists instead of tuples cannot be remembered
        own, inside = _face_faults.__wrapped__(outline, cutouts)
    return [*(fault.under(outline_at) for fault in own), *(fault.under(cutouts_at) for fault in inside)]


@lru_cache(maxsize=4096)
def _face_faults(outline: Ring, cutouts: tuple[Ring, ...]) -> tuple[tuple[Fault, ...], tuple[Fault, ...]]:
    own = tuple(ring_faults(outline))
    if len(cutouts) > limits.CUTOUTS:
        return own, (Fault("", f"{len(cutouts)} cut-outs", f"at most {limits.CUTOUTS} cut-outs"),)
    inside: list[Fault] = []
    sound: list[tuple[int, Ring]] = []
    for index, ring in enumerate(cutouts):
        faults = [fault.under(f"/{index}") for fault in ring_faults(ring)]
        inside += faults
        if faults:
            continue
        if not own and not _strictly_inside(ring, outline):
            inside.append(
                Fault(f"/{index}", "the cut-out is not strictly inside the outline", "a cut-out that leaves metal all round")
            )
            continue
        sound.append((index, ring))
    inside += _meeting_cutouts(sound)
    return own, tuple(inside)


def ring_faults(ring: Ring) -> Iterator[Fault]:
    """Yield the faults of one closed outline, at pointers relative to it; at most one for its shape as a whole."""
    if not 3 <= len(ring) <= limits.VERTICES:
        yield Fault("", f"{len(ring)} vertices", f"3 to {limits.VERTICES} vertices")
        return
    numbers = [fault for k, point in enumerate(ring) for fault in limits.point_faults(f"/{k}", point, 2)]
    if numbers:
        yield from numbers
        return
    points = np.array(ring, dtype=np.float64)
    gaps = np.hypot(*(np.roll(points, -1, axis=0) - points).T)
    if gaps[-1] < limits.SPACING:
        yield Fault(f"/{len(ring) - 1}", "the last vertex repeats the first", "an outline that is not closed by repetition")
    elif gaps.min() < limits.SPACING:
        index = int(gaps.argmin()) + 1
        yield Fault(f"/{index}", f"vertex {index} repeats the one before", f"vertices at least {limits.SPACING} mm apart")
    elif (pair := _crossing_edges(points)) is not None:
        wrong = f"the outline crosses or touches itself: edges {pair[0]} and {pair[1]} meet"
        yield Fault("", wrong, "a simple outline: edges that meet only at their common vertex")


def crossing_at(ring: Ring) -> Point2 | None:
    """Return a place where an outline crosses or touches itself, None if it is simple; its neighbouring vertices differ."""
    points = np.array(ring, dtype=np.float64)
    pair = _crossing_edges(points)
    if pair is None:
        return None
    following = np.roll(points, -1, axis=0)
    return _common_point(points[pair[0]], following[pair[0]], points[pair[1]], following[pair[1]])


def meeting_at(ring: Ring, other: Ring) -> Point2 | None:
    """Return a place where two outlines cross or touch, None if they are apart."""
    a, c = np.array(ring, dtype=np.float64), np.array(other, dtype=np.float64)
    b, d = np.roll(a, -1, axis=0), np.roll(c, -1, axis=0)
    first, second = _near(a, b, c, d)
    meets = _edges_meet(a[first], b[first], c[second], d[second])
    if not meets.any():
        return None
    k = int(meets.argmax())
    return _common_point(a[first[k]], b[first[k]], c[second[k]], d[second[k]])


def _near(a: _Points, b: _Points, c: _Points, d: _Points) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """Return the pairs of segments a-b and c-d (n and m, 2 each) whose boxes meet, as indices into both."""
    low, high, below, above = np.minimum(a, b), np.maximum(a, b), np.minimum(c, d), np.maximum(c, d)
    meets = low[:, None, 0] <= above[:, 0]
    meets &= high[:, None, 0] >= below[:, 0]
    meets &= low[:, None, 1] <= above[:, 1]
    meets &= high[:, None, 1] >= below[:, 1]
    first, second = np.nonzero(meets)
    return first, second


def _common_point(a: _Points, b: _Points, c: _Points, d: _Points) -> Point2:
    """Return where two edges that meet do so; of two that lie on each other, the middle of what they share."""
    ab, cd, ac = b - a, d - c, c - a
    cross = float(ab[0] * cd[1] - ab[1] * cd[0])
    if abs(cross) > 1e-12 * float(np.hypot(*ab) * np.hypot(*cd)):
        share = min(1.0, max(0.0, float(ac[0] * cd[1] - ac[1] * cd[0]) / cross))
        return float(a[0] + share * ab[0]), float(a[1] + share * ab[1])
    middle = sorted((a, b, c, d), key=lambda point: float((point - a) @ ab))[1:3]
    return float(middle[0][0] + middle[1][0]) / 2, float(middle[0][1] + middle[1][1]) / 2


def _crossing_edges(points: _Points) -> tuple[int, int] | None:
    """Return two edges that meet where they should not, None if the outline is simple."""
    count = len(points)
    following = np.roll(points, -1, axis=0)
    edge = following - points
    onward = np.roll(edge, -1, axis=0)
    cross = edge[:, 0] * onward[:, 1] - edge[:, 1] * onward[:, 0]
    dot = (edge * onward).sum(axis=1)
    span = np.hypot(*edge.T) * np.hypot(*onward.T)
    folded = (np.abs(cross) <= 1e-12 * span) & (dot < 0)
    if folded.any():
        k = int(folded.argmax())
        return k, (k + 1) % count
    first, second = _near(points, following, points, following)
    apart = (second - first >= 2) & ~((first == 0) & (second == count - 1))
    first, second = first[apart], second[apart]
    meets = _edges_meet(points[first], following[first], points[second], following[second])
    if not meets.any():
        return None
    k = int(meets.argmax())
    return int(first[k]), int(second[k])


def _edges_meet(a: _Points, b: _Points, c: _Points, d: _Points) -> _Marks:
    """Mark the pairs of closed segments a-b and c-d (n, 2 each) that share a point."""
    boxes = (np.minimum(a, b) <= np.maximum(c, d)).all(axis=1) & (np.minimum(c, d) <= np.maximum(a, b)).all(axis=1)
    meets = np.zeros(len(a), dtype=bool)
    near = np.flatnonzero(boxes)
    a, b, c, d = a[near], b[near], c[near], d[near]
    c_side, d_side = _turn(a, b, c), _turn(a, b, d)
    a_side, b_side = _turn(c, d, a), _turn(c, d, b)
    meets[near] = (c_side * d_side <= 0) & (a_side * b_side <= 0)
    return meets


def _turn(a: _Points, b: _Points, c: _Points) -> _Points:
    """Return on which side of a-b each c lies: 1 left, -1 right, 0 on the line within rounding."""
    ab, ac = b - a, c - a
    area = ab[:, 0] * ac[:, 1] - ab[:, 1] * ac[:, 0]
    rounding = 1e-12 * (np.abs(ab[:, 0] * ac[:, 1]) + np.abs(ab[:, 1] * ac[:, 0]))
    sides: _Points = np.where(np.abs(area) <= rounding, 0.0, np.sign(area))
    return sides


def _strictly_inside(ring: Ring, outline: Ring) -> bool:
    return not _rings_meet(ring, outline) and encloses(outline, ring[0])


def _meeting_cutouts(cutouts: list[tuple[int, Ring]]) -> Iterator[Fault]:
    boxes = [(np.min(ring, axis=0), np.max(ring, axis=0)) for _, ring in cutouts]
    for k, (index, ring) in enumerate(cutouts):
        for earlier in range(k):
            apart = (boxes[k][0] > boxes[earlier][1]).any() or (boxes[earlier][0] > boxes[k][1]).any()
            if apart:
                continue
            other = cutouts[earlier][1]
            if _rings_meet(ring, other) or encloses(ring, other[0]) or encloses(other, ring[0]):
                wrong = f"the cut-out meets cut-out {cutouts[earlier][0]}"
                yield Fault(f"/{index}", wrong, "cut-outs apart from each other, or one outline for both")
                break


def _rings_meet(ring: Ring, other: Ring) -> bool:
    a, c = np.array(ring, dtype=np.float64), np.array(other, dtype=np.float64)
    b, d = np.roll(a, -1, axis=0), np.roll(c, -1, axis=0)
    first, second = _near(a, b, c, d)
    return bool(_edges_meet(a[first], b[first], c[second], d[second]).any())


def encloses(ring: Ring, point: Point2) -> bool:
    """Whether a point that is not on the ring lies inside it (even-odd rule)."""
    inside = False
    for (u0, v0), (u1, v1) in zip(ring, (*ring[1:], ring[0]), strict=True):
        if (v0 > point[1]) != (v1 > point[1]) and point[0] < u0 + (point[1] - v0) / (v1 - v0) * (u1 - u0):
            inside = not inside
    return inside
