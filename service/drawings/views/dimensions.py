"""Sizes and places: rulers counted from hole A1, steps between neighbouring pieces, overall sizes, heights, the scale bar."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise

from inventory.shapes import Point2
from inventory.tables import Table, hole_label
from service.drawings.paper.labels import spread
from service.drawings.paper.lettering import SMALL, width_mm
from service.drawings.paper.marks import Box, Mark, Stroke, TextLine, line, rectangle
from service.drawings.scene import Scene
from service.drawings.views.outlook import View
from service.text import MM_PER_INCH, figure
from solver.weldment import LengthUnit

ROW = 3.4
"""Height of a line of small figures, mm."""
OVERALL = 5.5
"""What an overall size takes beside a view, mm."""
BAR_HIGH = 7.0
_HEAD = 1.6


def lattice(view: View, table: Table, axis: int) -> list[tuple[float, str, float]]:
    """Return every column (axis 0) or row (1) in the window: where it falls on paper, its label, its distance from A1, mm."""
    count = (table.columns, table.rows)[axis]
    low, high = (view.window.left, view.window.right) if axis == 0 else (view.window.top, view.window.bottom)
    found = []
    for k in range(count):
        mm = table.first[axis] + table.pitch * k
        if low <= mm <= high:
            label = hole_label((k, 0))[:-1] if axis == 0 else str(k + 1)
            found.append((view.flat((mm, mm))[axis], label, table.pitch * k))
    return found


def thinned(places: Sequence[tuple[float, str, float]], gap: float, first: set[str]) -> Iterator[tuple[float, str]]:
    """Yield lattice labels that stand at least a gap apart; those named first before others."""
    taken: list[float] = []
    for only in (True, False):
        for at, label, _ in places:
            if (label in first) is only and all(abs(at - other) >= gap for other in taken):
                taken.append(at)
                yield at, label


def rulers(scene: Scene, view: View, units: LengthUnit) -> Iterator[Mark]:
    """Yield both rulers of a view from above: below it the columns, left of it the rows."""
    columns = {piece.origin[0] for piece in scene.pieces if piece.hole is not None}
    rows = {piece.origin[1] for piece in scene.pieces if piece.hole is not None}
    yield from _below(view, lattice(view, scene.table, 0), _used(columns, scene.table, 0), units)
    yield from _beside(view, lattice(view, scene.table, 1), _used(rows, scene.table, 1), units)


def ruler_room(scene: Scene) -> Point2:
    """Return what the rulers take, mm: left of a view, and below it; lattice labels, steps between pieces, distances from A1."""
    table = scene.table
    longest = (figure(table.pitch * (count - 1), scene.units) for count in (table.columns, table.rows))
    wide, high = (max(width_mm(words, SMALL), 8.0) for words in longest)
    labels = width_mm(str(table.rows), SMALL, bold=True)
    return high + labels + 4.8, 2 * ROW + wide + 2.6


def _used(places: set[float], table: Table, axis: int) -> set[str]:
    """Return the labels of the columns or rows that pieces stand in."""
    steps = {round((place - table.first[axis]) / table.pitch) for place in places}
    return {hole_label((step, 0))[:-1] if axis == 0 else str(step + 1) for step in steps}


def _below(view: View, places: Sequence[tuple[float, str, float]], used: set[str], units: LengthUnit) -> Iterator[Mark]:
    edge = view.frame.bottom
    for at, label in thinned(places, _gap(places), used):
        yield TextLine(label, (at, edge + ROW - 0.8), "words" if label in used else "quiet", SMALL, "middle", bold=label in used)
    ticks = [(at, mm) for at, label, mm in places if label in used]
    yield from _steps(ticks, edge + ROW, units)
    top = edge + 2 * ROW
    said = [figure(mm, units) for _, mm in ticks]
    for (at, _), words, place in zip(ticks, said, _spread(ticks, view.frame.left, view.frame.right), strict=True):
        yield line((at, edge + ROW), (at, top), (place, top + 1.2), style="witness")
        yield TextLine(words, (place + 0.3 * SMALL, top + 1.8 + width_mm(words, SMALL)), "words", SMALL, upright=True)


def _beside(view: View, places: Sequence[tuple[float, str, float]], used: set[str], units: LengthUnit) -> Iterator[Mark]:
    edge = view.frame.left
    wide = 1.2 + max((width_mm(label, SMALL, True) for _, label, _ in places), default=0.0)
    for at, label in thinned(places, ROW, used):
        yield TextLine(
            label, (edge - 0.8, at + 0.3 * SMALL), "words" if label in used else "quiet", SMALL, "end", bold=label in used
        )  # fmt: skip
    ticks = sorted((at, mm) for at, label, mm in places if label in used)
    inner = edge - wide
    for (at, mm), place in zip(ticks, _spread(ticks, view.frame.top, view.frame.bottom), strict=True):
        yield line((inner, at), (inner - 0.8, at), (inner - 2.0, place), style="witness")
        yield TextLine(figure(mm, units), (inner - 2.4, place + 0.3 * SMALL), "words", SMALL, "end")


def _gap(places: Sequence[tuple[float, str, float]]) -> float:
    return 1.2 + max((width_mm(label, SMALL, True) for _, label, _ in places), default=0.0)


def _spread(ticks: Sequence[tuple[float, float]], low: float, high: float) -> list[float]:
    return spread([at for at, _ in ticks], ROW, low, high)


def _steps(ticks: Sequence[tuple[float, float]], y: float, units: LengthUnit) -> Iterator[Mark]:
    """Yield the steps between neighbouring used columns, where there is room for the figure between them."""
    for (a, from_mm), (b, to_mm) in pairwise(ticks):
        words = figure(to_mm - from_mm, units)
        if width_mm(words, SMALL) + 2.0 < b - a:
            yield line((a, y + ROW / 2), (b, y + ROW / 2), style="size")
            middle = (a + b) / 2
            half = width_mm(words, SMALL) / 2 + 0.6
            yield rectangle(Box(middle - half, y + 0.2, middle + half, y + ROW - 0.2), "paper")
            yield TextLine(words, (middle, y + ROW / 2 + 0.36 * SMALL), "words", SMALL, "middle")


def overall(view: View, box: tuple[float, float, float, float], units: LengthUnit) -> Iterator[Mark]:
    """Yield the overall sizes of what lies in a box as seen, mm: above the view and right of it."""
    x0, y0, x1, y1 = box
    (left, low), (right, high) = view.flat((x0, y0)), view.flat((x1, y1))
    above, beside = view.frame.top - 2.0, view.frame.right + 2.0
    yield line((left, high), (left, above - 0.8), style="witness")
    yield line((right, high), (right, above - 0.8), style="witness")
    yield from _dimension((left, above), (right, above))
    yield TextLine(figure(x1 - x0, units), ((left + right) / 2, above - 0.7), "words", SMALL, "middle")
    yield line((right, high), (beside + 0.8, high), style="witness")
    yield line((right, low), (beside + 0.8, low), style="witness")
    yield from _dimension((beside, low), (beside, high))
    words = figure(y1 - y0, units)
    start = (low + high) / 2 + width_mm(words, SMALL) / 2
    yield TextLine(words, (beside + 0.8 + 0.78 * SMALL, start), "words", SMALL, upright=True)


def _dimension(a: Point2, b: Point2) -> Iterator[Mark]:
    yield line(a, b, style="size")
    for tip, other in ((a, b), (b, a)):
        far = abs(tip[0] - other[0]) + abs(tip[1] - other[1])
        head = min(_HEAD, far / 3)
        ux, uy = (0.0, 0.0) if far < 1e-9 else ((other[0] - tip[0]) / far, (other[1] - tip[1]) / far)
        foot = tip[0] + ux * head, tip[1] + uy * head
        wing = 0.3 * head
        yield Stroke(
            ((tip, (foot[0] - uy * wing, foot[1] + ux * wing), (foot[0] + uy * wing, foot[1] - ux * wing)),), "size-head"
        )


def heights(view: View, values: Sequence[float], units: LengthUnit) -> Iterator[Mark]:
    """Yield a ruler of heights above the table, left of a view from a side."""
    edge = view.frame.left
    rising = sorted(set(values), reverse=True)
    at = [view.flat((0.0, value))[1] for value in rising]
    for value, true, place in zip(rising, at, spread(at, ROW, view.frame.top, view.frame.bottom), strict=True):
        yield line((edge, true), (edge - 0.8, true), (edge - 2.0, place), style="witness")
        yield TextLine(figure(value, units), (edge - 2.4, place + 0.3 * SMALL), "words", SMALL, "end")


def scale_bar(at: Point2, scale: float, units: LengthUnit, widest: float) -> Iterator[Mark]:
    """Yield the scale in words and a bar of a round length, its upper left corner at a place."""
    unit = MM_PER_INCH if units == "inch" else 1.0
    lengths = [step * 10**power * unit for power in range(-1, 5) for step in (1, 2, 5)]
    mm = max((value for value in lengths if value / scale <= min(40.0, widest)), default=lengths[0])
    x, y = at
    half = mm / scale / 2
    yield rectangle(Box(x, y, x + half, y + 1.2), "bar")
    yield rectangle(Box(x + half, y, x + 2 * half, y + 1.2), "bar-light")
    unit_name = "in" if units == "inch" else "mm"
    said = (
        f"{mm / unit:g} {unit_name}, scale 1 : {scale:g}" if scale >= 1 else f"{mm / unit:g} {unit_name}, scale {1 / scale:g} : 1"
    )
    yield TextLine(said, (x + 2 * half + 1.5, y + 0.5 * SMALL + 0.4), "words", SMALL)
