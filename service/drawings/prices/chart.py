"""A chart of lines over quantity: both axes logarithmic, lines named at their right ends, no words over other words."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from inventory.shapes import Point2
from service.drawings.paper.lettering import SMALL, width_mm
from service.drawings.paper.marks import Box, Disc, Mark, Stroke, TextLine, line, rectangle
from service.text import money

_DECADE = (1, 2, 5)
_NAME_GAP = 3.6
"""Names of lines stand so far below each other at least, mm."""
_WORD_GAP = 2.0


@dataclass(frozen=True, slots=True)
class Scale:
    """From a value between `low` and `high` to a place between `start` and `end`, mm, by its logarithm."""

    low: float
    high: float
    start: float
    end: float

    def at(self, value: float) -> float:
        """Return the place of a value; values beyond the ends are drawn at them."""
        share = math.log(min(max(value, self.low), self.high) / self.low) / math.log(self.high / self.low)
        return self.start + share * (self.end - self.start)

    def ticks(self) -> Iterator[tuple[float, bool]]:
        """Yield the round values there are, and whether each begins a decade."""
        for power in range(math.floor(math.log10(self.low)), math.ceil(math.log10(self.high)) + 1):
            for digit in _DECADE:
                value = digit * 10.0**power
                if self.low <= value <= self.high:
                    yield value, digit == 1


@dataclass(frozen=True, slots=True)
class Curve:
    """A line over quantity, its values in cents, drawn in a style, with its name."""

    name: str
    style: str
    points: tuple[tuple[float, float], ...]


@dataclass(frozen=True, slots=True)
class MarkedQuantity:
    """A quantity that is marked: by an upright line and words, at the top or at the bottom of the chart."""

    quantity: int
    words: str
    top: bool


def chart(
    box: Box, title: str, curves: Sequence[Curve], moments: Sequence[MarkedQuantity], dots: Sequence[tuple[float, float]],
    across: Scale, numbered: bool,
) -> list[Mark]:  # fmt: skip
    """Return the marks of a chart.

    Parameters
    ----------
    box : Box
        Where lines are drawn; numbers stand left of it and, if `numbered`, below it, names of curves right of it.
    dots : sequence of (quantity, cents)
        Points that are marked.
    across : Scale
        Of quantities.
    """
    values = [cents for curve in curves for _, cents in curve.points if cents > 0] or [1.0]
    up = Scale(min(values) / 1.15, max(values) * 1.15 + 1, box.bottom, box.top)
    marks: list[Mark] = [rectangle(box, "chart-ground"), *_grid(box, across, up, numbered)]
    marks += _moments(box, moments, across)
    for curve in curves:
        marks.append(line(*((across.at(x), up.at(y)) for x, y in curve.points), style=curve.style))
    marks += (Disc((across.at(x), up.at(y)), 0.9, "bar") for x, y in dots)
    marks += _names(box, [(curve.name, up.at(curve.points[-1][1])) for curve in curves])
    marks.append(TextLine(title, (box.left, box.top - 2.4), size=SMALL + 0.5, bold=True))
    return marks


def _grid(box: Box, across: Scale, up: Scale, numbered: bool) -> Iterator[Mark]:
    for value, decade in across.ticks():
        x = across.at(value)
        yield line((x, box.top), (x, box.bottom), style="chart-decade" if decade else "chart-rule")
    taken: list[tuple[float, float]] = []
    for value, _ in sorted(across.ticks(), key=lambda each: not each[1]) if numbered else ():  # decades have their numbers first
        x, words = across.at(value), f"{value:,.0f}"
        half = (width_mm(words, SMALL) + _WORD_GAP) / 2
        if all(x + half <= start or x - half >= end for start, end in taken):
            taken.append((x - half, x + half))
            yield TextLine(words, (x, box.bottom + 3.6), "quiet", SMALL, "middle")
    above = math.inf
    for value, decade in up.ticks():
        y = up.at(value)
        yield line((box.left, y), (box.right, y), style="chart-decade" if decade else "chart-rule")
        if y + SMALL < above:
            yield TextLine(money(round(value)), (box.left - 1.5, y + 0.9), "quiet", SMALL, "end")
            above = y


def _moments(box: Box, moments: Sequence[MarkedQuantity], across: Scale) -> Iterator[Mark]:
    """Yield upright lines with their words, each row of words filled from the left, the next row where there is no room."""
    for moment in moments:
        yield line((across.at(moment.quantity), box.top), (across.at(moment.quantity), box.bottom), style="chart-moment")
    for top in (True, False):
        rows: list[float] = []
        for moment in sorted((each for each in moments if each.top == top), key=lambda each: each.quantity):
            x = across.at(moment.quantity)
            wide = width_mm(moment.words, SMALL)
            start = min(x + 1.0, box.right - wide - 1.0)
            row = next((place for place, end in enumerate(rows) if start > end + _WORD_GAP), len(rows))
            rows[row : row + 1] = [start + wide]
            y = box.top + 3.4 + 3.6 * row if top else box.bottom - 1.6 - 3.6 * row
            yield Stroke((_around(start, y, wide),), "halo")
            yield TextLine(moment.words, (start, y), size=SMALL)


def _around(x: float, y: float, wide: float) -> tuple[Point2, ...]:
    return (x - 0.4, y - 2.2), (x + wide + 0.4, y - 2.2), (x + wide + 0.4, y + 0.8), (x - 0.4, y + 0.8)


def _names(box: Box, named: Sequence[tuple[str, float]]) -> Iterator[Mark]:
    """Yield the names of lines beside their ends, as far apart as they must be."""
    ordered = sorted(named, key=lambda each: each[1])
    places: list[float] = []
    for _, y in ordered:
        places.append(max(y, places[-1] + _NAME_GAP) if places else max(y, box.top + 1.5))
    over = max(0.0, places[-1] - (box.bottom - 1.0)) if places else 0.0
    for at in reversed(range(len(places))):
        below = places[at + 1] - _NAME_GAP if at + 1 < len(places) else math.inf
        places[at] = min(places[at] - (over if at == len(places) - 1 else 0.0), below)
    for (name, y), place in zip(ordered, places, strict=True):
        yield line((box.right, y), (box.right + 2.4, place), style="leader")
        yield TextLine(name, (box.right + 3.0, place + 0.9), size=SMALL)
