"""Lines, arcs and curves joined at their ends into closed runs; what is doubled or does not close is told with its place."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from inventory.limits import plain
from inventory.shapes import Point2
from service.exchange.weldments.dxf.curves import Curve, EllipticArc, PointedCurve, Straight
from service.exchange.weldments.dxf.flat_drawing import DrawnCurves
from service.exchange.weldments.dxf.joining import LeftOver, LoopStep, joined
from service.exchange.weldments.weldment_reading import Remark

TWICE = 0.01
"""Two curves whose ends and middles are this near to each other, mm, are one drawn twice."""

LOOKED_AT = 200
"""Lines left over that are held against all others, to see whether they lie on one."""


@dataclass(frozen=True, slots=True)
class ClosedRun:
    """Curves that close up.

    Parameters
    ----------
    curves : tuple of Curve
        Each begins where the one before ends.
    drawn : tuple of DrawnCurves
        The entities they are of, in the order of the file.
    gap : float
        The largest distance between two ends that were joined, mm.
    gap_at : (x, y)
        Where it is.
    """

    curves: tuple[Curve, ...]
    drawn: tuple[DrawnCurves, ...]
    gap: float = 0.0
    gap_at: Point2 = (0.0, 0.0)

    @property
    def where(self) -> str:
        """Where its user finds it."""
        more = len(self.drawn) - 1
        return self.drawn[0].where + (f" and {more} more" if more else "")


@dataclass(frozen=True, slots=True)
class _Piece:
    """One curve that is not closed by itself."""

    curve: Curve
    drawn: DrawnCurves


def closed_runs(drawn: Sequence[DrawnCurves], gap: float) -> tuple[list[ClosedRun], list[Remark]]:
    """Return what closes up, in the order of the file, and what was noticed.

    Parameters
    ----------
    drawn : sequence of DrawnCurves
    gap : float
        Ends no farther apart than this are joined, mm, nearest first. What lies on one layer is joined first, then what is
        left over of all layers.
    """
    runs = [ClosedRun(each.curves, (each,)) for each in drawn if each.closed]
    pieces, remarks = _once([_Piece(curve, each) for each in drawn if not each.closed for curve in each.curves])
    layers: dict[str, list[_Piece]] = defaultdict(list)
    for piece in pieces:
        layers[piece.drawn.layer].append(piece)
    left: list[_Piece] = []
    for on_layer in layers.values():
        found, over = _joined(on_layer, gap)
        runs += found
        left += [on_layer[k] for group in over for k in group.lines]
    found, over = _joined(left, gap)
    runs += found
    lines = _straight_lines(drawn)
    remarks += [(k < LOOKED_AT and _lies_on(left, group, lines)) or _told(left, group, gap) for k, group in enumerate(over)]
    runs.sort(key=lambda run: run.drawn[0].number)
    return runs, remarks


def _once(pieces: list[_Piece]) -> tuple[list[_Piece], list[Remark]]:
    """Return the pieces without those that lie on another one all along, and a remark for each of these."""
    seen: set[tuple[int, ...]] = set()
    kept, remarks = [], []
    for piece in pieces:
        (ax, ay), (bx, by) = sorted((piece.curve.start, piece.curve.end))
        middle = _middle(piece.curve)
        numbers = np.array((ax, ay, bx, by, *middle)) / TWICE
        # Two grids half a step apart: what differs by rounding alone shares a cell of one of them.
        keys = [(half, *np.floor(numbers + half / 2).astype(int).tolist()) for half in (0, 1)]
        if any(key in seen for key in keys):
            text = "it lies on another one all along; one of the two is taken"
            remarks.append(Remark("outline.doubled", text, piece.drawn.where, (*middle, 0.0)))
            continue
        seen.update(keys)
        kept.append(piece)
    return kept, remarks


def _middle(curve: Curve) -> Point2:
    """Return the middle of an arc or a line; of a curve given by points, their mean."""
    if isinstance(curve, EllipticArc):
        return curve.at(curve.first + curve.sweep / 2)
    if isinstance(curve, PointedCurve):
        x, y = np.mean(np.array(curve.given), axis=0)
        return float(x), float(y)
    return (curve.start[0] + curve.end[0]) / 2, (curve.start[1] + curve.end[1]) / 2


def _joined(pieces: list[_Piece], gap: float) -> tuple[list[ClosedRun], list[LeftOver]]:
    if not pieces:
        return [], []
    ends = np.array([point for piece in pieces for point in (piece.curve.start, piece.curve.end)])
    loops, left = joined(ends, gap)
    return [_run(pieces, loop) for loop in loops], left


def _run(pieces: list[_Piece], loop: list[LoopStep]) -> ClosedRun:
    curves = [pieces[step.line].curve.reversed() if step.back else pieces[step.line].curve for step in loop]
    drawn = {pieces[step.line].drawn.number: pieces[step.line].drawn for step in loop}
    gaps = [(math.dist(curves[k - 1].end, curve.start), curve.start) for k, curve in enumerate(curves)]
    return ClosedRun(tuple(curves), tuple(drawn[number] for number in sorted(drawn)), *max(gaps))


def _straight_lines(drawn: Sequence[DrawnCurves]) -> NDArray[np.float64]:
    """Return the ends (n, 4) of all straight lines of a drawing."""
    straight = [curve for each in drawn for curve in each.curves if isinstance(curve, Straight)]
    return np.array([(*curve.start, *curve.end) for curve in straight], dtype=float).reshape(-1, 4)


def _lies_on(pieces: list[_Piece], group: LeftOver, lines: NDArray[np.float64]) -> Remark | None:
    """Return the remark on a single straight line that lies on others for a part of its length, None if it does not."""
    piece = pieces[group.lines[0]]
    if len(group.lines) > 1 or not isinstance(piece.curve, Straight):
        return None
    start, end = np.array(piece.curve.start), np.array(piece.curve.end)
    length = float(np.hypot(*(end - start)))
    along = (end - start) / length
    across = np.array((-along[1], along[0]))
    a, b = lines[:, :2] - start, lines[:, 2:] - start
    on = (np.abs(a @ across) <= TWICE) & (np.abs(b @ across) <= TWICE)
    low, high = np.minimum(a @ along, b @ along)[on], np.maximum(a @ along, b @ along)[on]
    itself = (np.abs(low) <= TWICE) & (np.abs(high - length) <= TWICE)
    shared = np.minimum(high, length) - np.maximum(low, 0.0)
    shared[itself] = 0.0
    if not len(shared) or shared.max() <= TWICE:
        return None
    most = int(shared.argmax())
    middle = start + along * (max(float(low[most]), 0.0) + float(shared[most]) / 2)
    text = f"it lies on another line for {plain(round(float(shared[most]), 3))} mm; it is left out"
    return Remark("outline.doubled", text, piece.drawn.where, (float(middle[0]), float(middle[1]), 0.0))


def _told(pieces: list[_Piece], group: LeftOver, gap: float) -> Remark:
    """Return the remark on lines that make no loop."""
    first = pieces[group.lines[0]].drawn
    more = len(group.lines) - 1
    where = first.where + (f" and {more} more" if more else "")
    if group.forks:
        places = _listed(group.forks)
        text = f"more than two lines meet at {places}, so that it is open which way the outline goes on"
        return Remark("outline.forked", text, where, (*group.forks[0], 0.0))
    if not group.loose:
        return Remark("outline.open", "it does not close up", where, (*pieces[group.lines[0]].curve.start, 0.0))
    text = f"it does not close up: loose ends at {_listed(group.loose)}"
    if len(group.loose) == 2:
        text += f", {plain(round(math.dist(*group.loose), 3))} mm apart; ends up to {plain(gap)} mm apart are joined"
    return Remark("outline.open", text, where, (*group.loose[0], 0.0))


def _listed(places: Sequence[Point2]) -> str:
    shown = [f"({plain(round(x, 3))}, {plain(round(y, 3))})" for x, y in places[:4]]
    return ", ".join(shown) + (f" and {len(places) - 4} more places" if len(places) > 4 else "")
