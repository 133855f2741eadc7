"""Closed runs inside one another: the outermost are plates, those in them cut-outs, those in cut-outs plates again."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from inventory import limits
from inventory.errors import Fault, InvalidDocument
from inventory.limits import plain
from inventory.outlines import crossing_at, encloses, meeting_at
from inventory.shapes import Point2
from service.exchange.weldments.dxf.closed_runs import ClosedRun
from service.exchange.weldments.dxf.curves import ring_points
from service.exchange.weldments.weldment_reading import Remark

MOST_RUNS = 5000
TWICE = 0.02
"""Closed runs whose boxes and areas agree this closely, mm and mm of their length, are one drawn twice."""
MOST_PAIRS = 500_000_000
"""Of sides of closed runs whose boxes meet, and of sides of one run."""
COARSER = (1.0, 2.0, 4.0, 8.0, 16.0)
"""Times the usual distances that sides may be away from curves, tried until an outline has few enough corners."""
Array = NDArray[np.float64]


@dataclass
class NestedRun:
    """A closed run with what lies in it.

    Parameters
    ----------
    number : int
        Its place among all runs.
    run : ClosedRun
    corners : array (n, 2)
        On its curves, counter-clockwise.
    clockwise : bool
        Whether it is drawn clockwise.
    area : float
        mm2.
    inside : list of NestedRun
        The runs directly in it, those at fault among them.
    parent : NestedRun or None
        The run it lies directly in; none that is at fault.
    faults : list of Remark
        Why it is no outline.
    coarse : float
        Times the usual distances that its sides are away from its curves.
    """

    number: int
    run: ClosedRun
    corners: Array
    clockwise: bool
    area: float
    inside: list[NestedRun] = field(default_factory=list)
    parent: NestedRun | None = None
    faults: list[Remark] = field(default_factory=list)
    coarse: float = 1.0

    @property
    def depth(self) -> int:
        """In how many others it lies."""
        return 0 if self.parent is None else 1 + self.parent.depth

    @property
    def cutout(self) -> bool:
        """Whether it is a cut-out of the one it lies in."""
        return not self.faults and self.depth % 2 == 1

    def holds(self, point: Point2) -> bool:
        """Whether a point lies inside it."""
        low, high = self.corners.min(axis=0), self.corners.max(axis=0)
        if not (low[0] <= point[0] <= high[0] and low[1] <= point[1] <= high[1]):
            return False
        return encloses(self.ring, point)

    @cached_property
    def ring(self) -> tuple[Point2, ...]:
        """Its corners as plain numbers."""
        return tuple((x, y) for x, y in self.corners.tolist())


def nested(runs: Sequence[ClosedRun]) -> tuple[list[NestedRun], list[Remark]]:
    """Return the runs, each with what lies in it, in their order, and what was noticed; too small and doubled ones left out.

    Raises
    ------
    InvalidDocument
        If there are more than are read.
    """
    if len(runs) > MOST_RUNS:
        raise InvalidDocument([Fault("/entities", f"{len(runs):,} closed outlines", f"at most {MOST_RUNS:,}")])
    remarks: list[Remark] = []
    sound = [each for run in runs if (each := _measured(run, remarks)) is not None]
    sound = _once(sound, remarks)
    for number, each in enumerate(sound):
        each.number = number
    boxes = np.array([[*each.corners.min(axis=0), *each.corners.max(axis=0)] for each in sound]).reshape(-1, 4)
    _look_for_crossings(sound, boxes)
    _nest(sound, boxes)
    return sound, remarks


def _measured(run: ClosedRun, remarks: list[Remark]) -> NestedRun | None:
    """Return a run with its corners; None, with a remark, if it is too small to be anything."""
    for coarse in COARSER:
        points = np.array(ring_points(run.curves, True, None, coarse), dtype=float).reshape(-1, 2)
        if len(points) <= limits.VERTICES:
            break
    at = (*run.curves[0].start, 0.0)
    size = np.ptp(points, axis=0) if len(points) else np.zeros(2)
    if len(points) < 3 or size.min() < limits.SIZE.low:
        text = (
            f"it is {plain(round(float(size[0]), 4))} x {plain(round(float(size[1]), 4))} mm, less than {plain(limits.SIZE.low)}"
        )
        remarks.append(Remark("outline.small", f"{text} mm; it is left out", run.where, at))
        return None
    x, y = (points - points[0]).T
    twice = float(x @ np.roll(y, -1) - y @ np.roll(x, -1))
    return NestedRun(0, run, points if twice > 0 else points[::-1], twice < 0, abs(twice) / 2, coarse=coarse)


def _once(runs: list[NestedRun], remarks: list[Remark]) -> list[NestedRun]:
    """Return the runs without those that lie on another one."""
    kept: list[NestedRun] = []
    by_box: dict[tuple[int, ...], list[NestedRun]] = {}
    for each in runs:
        box = np.array([*each.corners.min(axis=0), *each.corners.max(axis=0)])
        keys = [(half, *np.floor(box / TWICE + half / 2).astype(int).tolist()) for half in (0, 1)]
        length = float(np.hypot(*(np.roll(each.corners, -1, axis=0) - each.corners).T).sum())
        same = (other for key in keys for other in by_box.get(key, ()))
        if any(abs(other.area - each.area) <= TWICE * length for other in same):
            text = "it lies on another closed outline; one of the two is taken"
            remarks.append(Remark("outline.doubled", text, each.run.where, _start(each)))
            continue
        for key in keys:
            by_box.setdefault(key, []).append(each)
        kept.append(each)
    return kept


def _look_for_crossings(runs: list[NestedRun], boxes: Array) -> None:
    """Note where runs cross themselves or each other."""
    pairs = 0
    for each in runs:
        pairs += len(each.corners) ** 2
        if pairs > MOST_PAIRS:
            raise _too_many()
        if len(each.corners) > limits.VERTICES:
            text = f"it takes {len(each.corners):,} corners; at most {limits.VERTICES:,} are taken"
            each.faults.append(Remark("outline.corners", text, each.run.where, _start(each)))
        elif (at := crossing_at(each.ring)) is not None:
            text = f"it crosses or touches itself at {_place(at)}"
            each.faults.append(Remark("outline.crossing", text, each.run.where, (*at, 0.0)))
    for k, each in enumerate(runs):
        if each.faults:
            continue
        later = boxes[k + 1 :]
        near = (later[:, :2] <= boxes[k, 2:]).all(axis=1) & (later[:, 2:] >= boxes[k, :2]).all(axis=1)
        for other in (runs[k + 1 + int(index)] for index in np.flatnonzero(near)):
            if other.faults and other.faults[0].code != "outline.crossing":
                continue
            pairs += len(each.corners) * len(other.corners)
            if pairs > MOST_PAIRS:
                raise _too_many()
            if (at := meeting_at(each.ring, other.ring)) is not None:
                for one, beside in ((each, other), (other, each)):
                    text = f"it crosses or touches another outline ({beside.run.where}) at {_place(at)}"
                    one.faults.append(Remark("outline.crossing", text, one.run.where, (*at, 0.0)))


def _too_many() -> InvalidDocument:
    wrong = f"more than {MOST_PAIRS:,} pairs of sides of outlines that lie over each other"
    return InvalidDocument([Fault("/entities", wrong, "fewer outlines, or coarser ones")])


def _nest(runs: list[NestedRun], boxes: Array) -> None:
    order = sorted(range(len(runs)), key=lambda k: (runs[k].area, k))
    ordered = boxes[order]
    for index, k in enumerate(order):
        each = runs[k]
        larger = ordered[index + 1 :]
        around = (larger[:, :2] <= boxes[k, :2]).all(axis=1) & (larger[:, 2:] >= boxes[k, 2:]).all(axis=1)
        first = each.ring[0]
        for other in (runs[order[index + 1 + int(found)]] for found in np.flatnonzero(around)):
            if not other.faults and encloses(other.ring, first):
                each.parent = other
                break
    for each in runs:
        if each.parent is not None:
            each.parent.inside.append(each)


def _start(run: NestedRun) -> tuple[float, float, float]:
    return float(run.corners[0][0]), float(run.corners[0][1]), 0.0


def _place(at: Point2) -> str:
    return f"({plain(round(at[0], 3))}, {plain(round(at[1], 3))})"
