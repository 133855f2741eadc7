"""Places for labels: none over another, over what must be seen or off the paper, each as near as can be to what it names.

Every label has a finite list of places: those its owner proposes, then rings of places further and further from its foot.
Labels with the fewest free places choose first, each the cheapest place left; then all choose again, in turn, until nobody
gains. What a place costs: its distance, the ink it covers, leaders it crosses. A label that finds no free place is left for
the owner to put elsewhere.

Source of the method: discrete candidates with greedy choice and local improvement, Christensen, Marks & Shieber, An
empirical study of algorithms for point-feature label placement, ACM Transactions on Graphics 14 (1995), 203-232; rings and
weights are our own.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from inventory.shapes import Array, Point2
from service.drawings.paper.marks import Box

GAP = 0.5
"""Labels keep so far apart, mm."""
DISTANCES = (0.6, 1.5, 3.0, 5.0, 8.0, 12.0, 17.0, 23.0, 30.0)
_DIRECTIONS = 16
_PER_MM = 1.0
_PER_MM2_OF_INK = 0.35
_CROSSING = 12.0
_SWEEPS = 4
_AT_ONCE = 16
_TOUCHES = 1e-9


@dataclass(frozen=True, slots=True)
class Label:
    """Something to be placed.

    Parameters
    ----------
    key : str
        What it names.
    width, height : float
        mm.
    foot : (x, y)
        What it points at, mm of paper.
    proposed : tuple of (x, y)
        Middles its owner would like best, in that order; free of charge, and understood without a leader.
    """

    key: str
    width: float
    height: float
    foot: Point2
    proposed: tuple[Point2, ...] = ()


@dataclass(frozen=True, slots=True)
class PlacedLabel:
    """A label and the middle it got; `leader` runs from its edge to its foot, None if it stands at it."""

    label: Label
    middle: Point2
    leader: tuple[Point2, Point2] | None

    @property
    def box(self) -> Box:
        """What it takes on paper."""
        return _box(self.middle, self.label)

    @property
    def away(self) -> float:
        """The length of its leader, mm."""
        return 0.0 if self.leader is None else math.dist(*self.leader)


def placed_labels(
    labels: Sequence[Label], room: Box, kept_free: Sequence[Box] = (), ink: Sequence[Box] = ()
) -> list[PlacedLabel | None]:
    """Return a place for each label, None for one that has none; the same labels get the same places every time.

    Parameters
    ----------
    labels : sequence of Label
    room : Box
        Where labels may stand.
    kept_free : sequence of Box
        What no label and, where it can be helped, no leader may cover.
    ink : sequence of Box
        What labels had better not cover.
    """
    layout = _Layout(labels, room, kept_free, ink)
    layout.choose_first()
    for _ in range(_SWEEPS):
        if not layout.choose_again():
            break
    return layout.placed()


class _Layout:
    """All places of all labels, and which each has chosen: -1 for none."""

    def __init__(self, labels: Sequence[Label], room: Box, kept_free: Sequence[Box], ink: Sequence[Box]) -> None:
        self.labels = labels
        self.free, inked = _as_rows(kept_free), _as_rows(ink)
        self.places = [_places(label) for label in labels]
        self.boxes = [_boxes(places[:, :2], label) for places, label in zip(self.places, labels, strict=True)]
        self.legs = [_legs(boxes, label) for boxes, label in zip(self.boxes, labels, strict=True)]
        self.costs = [
            places[:, 2] + _PER_MM2_OF_INK * _covered(boxes, inked) for places, boxes in zip(self.places, self.boxes, strict=True)
        ]
        inside = [
            (boxes[:, :2] >= (room.left, room.top)).all(axis=1) & (boxes[:, 2:] <= (room.right, room.bottom)).all(axis=1)
            for boxes in self.boxes
        ]
        self.allowed = [fits & ~_meet(boxes, self.free, GAP).any(axis=1) for fits, boxes in zip(inside, self.boxes, strict=True)]
        self.nearby = [_within(self.free, legs) for legs in self.legs]
        self.chosen = [-1] * len(labels)

    def choose_first(self) -> None:
        """Let labels choose, those with the fewest free places first."""
        order = sorted(range(len(self.labels)), key=lambda k: (int(self.allowed[k].sum()), k))
        for k in order:
            self._choose(k)

    def choose_again(self) -> bool:
        """Let every label choose once more, the others standing; return whether any moved."""
        before = list(self.chosen)
        for k in range(len(self.labels)):
            self._choose(k)
        return self.chosen != before

    def _choose(self, k: int) -> None:
        """Give a label its cheapest place beside the others'.

        Crossings only add to what a place costs: places are tried by what they cost without, until none left can be cheaper.
        """
        self.chosen[k] = -1
        others = [j for j in range(len(self.labels)) if self.chosen[j] >= 0]
        boxes = np.array([self.boxes[j][self.chosen[j]] for j in others]).reshape(-1, 4)
        legs = np.array([self.legs[j][self.chosen[j]] for j in others]).reshape(-1, 4)
        free = np.flatnonzero(self.allowed[k] & ~_meet(self.boxes[k], boxes, GAP).any(axis=1))
        free = free[np.argsort(self.costs[k][free], kind="stable")]
        best = np.inf
        for start in range(0, len(free), _AT_ONCE):
            some = free[start : start + _AT_ONCE]
            if self.costs[k][some[0]] >= best:
                break
            cost = self.costs[k][some] + self._crossings(k, some, boxes, legs)
            if cost.min() < best:
                best, self.chosen[k] = float(cost.min()), int(some[int(np.argmin(cost))])

    def _crossings(self, k: int, some: NDArray[np.intp], boxes: Array, legs: Array) -> Array:
        """Return what the crossings cost that some of a label's places would make."""
        mine = self.legs[k][some]
        met: Array = _crossed(mine, self.nearby[k]).sum(axis=1) + _crossed(mine, _within(boxes, mine)).sum(axis=1)
        met = met + _crossed(legs, self.boxes[k][some]).sum(axis=0) + 0.5 * _legs_cross(mine, legs)
        return _CROSSING * met

    def placed(self) -> list[PlacedLabel | None]:
        """Return what was chosen."""
        found: list[PlacedLabel | None] = []
        for k, (label, chosen) in enumerate(zip(self.labels, self.chosen, strict=True)):
            if chosen < 0:
                found.append(None)
                continue
            x0, y0, x1, y1 = self.legs[k][chosen].tolist()
            near = math.dist((x0, y0), (x1, y1)) < DISTANCES[0] + _TOUCHES
            x, y = self.places[k][chosen][:2].tolist()
            found.append(PlacedLabel(label, (x, y), None if near else ((x0, y0), (x1, y1))))
        return found


def _box(middle: Point2, label: Label) -> Box:
    x, y = middle
    return Box(x - label.width / 2, y - label.height / 2, x + label.width / 2, y + label.height / 2)


def _places(label: Label) -> Array:
    """Return a label's places as rows: middle x, y, what its distance costs."""
    rows = [(x, y, 0.01 * rank) for rank, (x, y) in enumerate(label.proposed)]
    for distance in DISTANCES:
        for step in range(_DIRECTIONS):
            angle = 2 * math.pi * step / _DIRECTIONS
            cosine, sine = math.cos(angle), -math.sin(angle)
            # Off the box's edge by the distance, along a slant that goes round the box's corners.
            x = label.foot[0] + _sign(cosine) * label.width / 2 * min(1.0, 1.5 * abs(cosine)) + cosine * distance
            y = label.foot[1] + _sign(sine) * label.height / 2 * min(1.0, 1.5 * abs(sine)) + sine * distance
            rows.append((x, y, 0.4 + _PER_MM * distance + 0.02 * step))
    return np.array(rows, dtype=float)


def _sign(value: float) -> float:
    return math.copysign(1.0, value)


def _boxes(middles: Array, label: Label) -> Array:
    half = np.array([label.width / 2, label.height / 2])
    return np.hstack([middles - half, middles + half])


def _as_rows(boxes: Sequence[Box]) -> Array:
    return np.array([(box.left, box.top, box.right, box.bottom) for box in boxes], dtype=float).reshape(-1, 4)


def _meet(a: Array, b: Array, gap: float) -> NDArray[np.bool_]:
    """Return which boxes of one list come nearer than a gap to which of another, (len(a), len(b))."""
    met: NDArray[np.bool_] = (
        (a[:, None, 0] < b[None, :, 2] + gap)
        & (b[None, :, 0] < a[:, None, 2] + gap)
        & (a[:, None, 1] < b[None, :, 3] + gap)
        & (b[None, :, 1] < a[:, None, 3] + gap)
    )
    return met


def _covered(boxes: Array, ink: Array) -> Array:
    """Return how much ink each box covers, mm2."""
    wide = np.minimum(boxes[:, None, 2], ink[None, :, 2]) - np.maximum(boxes[:, None, 0], ink[None, :, 0])
    high = np.minimum(boxes[:, None, 3], ink[None, :, 3]) - np.maximum(boxes[:, None, 1], ink[None, :, 1])
    area: Array = (np.clip(wide, 0.0, None) * np.clip(high, 0.0, None)).sum(axis=1)
    return area


def _legs(boxes: Array, label: Label) -> Array:
    """Return each place's leader, from the nearest point of its box to its foot: x0, y0, x1, y1; proposed places need none."""
    near = np.clip(np.array(label.foot), boxes[:, :2], boxes[:, 2:])
    feet = np.broadcast_to(np.array(label.foot), near.shape).copy()
    feet[: len(label.proposed)] = near[: len(label.proposed)]
    return np.hstack([near, feet])


def _within(boxes: Array, legs: Array) -> Array:
    """Return the boxes that come within reach of any leg: no leg crosses the others."""
    low = np.minimum(legs[:, :2], legs[:, 2:]).min(axis=0)
    high = np.maximum(legs[:, :2], legs[:, 2:]).max(axis=0)
    near: Array = boxes[(boxes[:, :2] < high).all(axis=1) & (boxes[:, 2:] > low).all(axis=1)]
    return near


def _crossed(legs: Array, boxes: Array) -> NDArray[np.bool_]:
    """Return which legs run through which boxes, (legs, boxes); a leg of no length runs through none."""
    met: NDArray[np.bool_] = (np.abs(legs[:, 2:] - legs[:, :2]) > _TOUCHES).max(axis=1, keepdims=True)
    enter, leave = np.zeros((len(legs), len(boxes))), np.full((len(legs), len(boxes)), 1.0 - _TOUCHES)
    for axis in (0, 1):  # one after the other: numpy takes longer to reduce an axis of two than to compute
        start, way = legs[:, axis, None], (legs[:, axis + 2] - legs[:, axis])[:, None]
        low, high = boxes[None, :, axis], boxes[None, :, axis + 2]
        with np.errstate(divide="ignore", invalid="ignore"):
            one, other = (low - start) / way, (high - start) / way
        still, inside = np.abs(way) < _TOUCHES, (start > low) & (start < high)
        met = met & (~still | inside)
        enter = np.where(still, enter, np.maximum(enter, np.minimum(one, other)))
        leave = np.where(still, leave, np.minimum(leave, np.maximum(one, other)))
    crossed: NDArray[np.bool_] = met & (enter < leave)
    return crossed


def _legs_cross(a: Array, b: Array) -> Array:
    """Return how many legs of a second list each leg of a first crosses."""

    def side(p: Array, q: Array, r: Array) -> Array:
        turned: Array = (q[..., 0] - p[..., 0]) * (r[..., 1] - p[..., 1]) - (q[..., 1] - p[..., 1]) * (r[..., 0] - p[..., 0])
        return turned

    p, q = a[:, None, :2], a[:, None, 2:]
    r, s = b[None, :, :2], b[None, :, 2:]
    crossed = (side(p, q, r) * side(p, q, s) < -_TOUCHES) & (side(r, s, p) * side(r, s, q) < -_TOUCHES)
    count: Array = crossed.sum(axis=1)
    return count


def spread(wanted: Sequence[float], gap: float, low: float, high: float) -> list[float]:
    """Return places on a line as near as can be to the wanted ones, in their order, at least a gap apart, between two ends.

    Least squares with the order kept: pool adjacent violators (Ayer et al., Annals of Mathematical Statistics 26, 1955).
    Where there is not room for all between the ends, they stand a gap apart around the middle.

    Parameters
    ----------
    wanted : sequence of float
        In rising order.
    """
    if not wanted:
        return []
    shifts = [place - k * gap for k, place in enumerate(wanted)]
    pools: list[tuple[float, int]] = []
    for shift in shifts:
        mean, count = shift, 1
        while pools and pools[-1][0] > mean:
            before, many = pools.pop()
            mean, count = (mean * count + before * many) / (count + many), count + many
        pools.append((mean, count))
    flat = [mean for mean, count in pools for _ in range(count)]
    span = (len(wanted) - 1) * gap
    if span > high - low:
        start = (low + high - span) / 2
        return [start + k * gap for k in range(len(wanted))]
    return [min(max(mean, low), high - span) + k * gap for k, mean in enumerate(flat)]
