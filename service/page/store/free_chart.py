"""How many pieces of an item are free from day to day, as a small drawing."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from inventory.availability import Span

WIDTH, LEFT, TOP, HIGH = 360.0, 30.0, 16.0, 72.0
"""Of the drawing, px: its width, room for figures at the left and on top, height of the columns."""
_FIGURE = 8.0
"""Room a figure's digit takes."""


@dataclass(frozen=True, slots=True)
class FreeStretch:
    """Days on which equally many pieces are free, as a column; below the line where more are promised than there are."""

    x: float
    width: float
    y: float
    height: float
    free: int
    days: Span
    figure: bool
    """Whether it is broad enough for its figure."""


@dataclass(frozen=True, slots=True)
class FreeChart:
    """The drawing: columns over a line of days.

    Parameters
    ----------
    zero, bottom : float
        Where the line of no pieces is, and where the columns' room ends.
    most, least : int
        Pieces that the highest and the lowest end stand for.
    mondays : tuple of float
        Where weeks begin.
    """

    stretches: tuple[FreeStretch, ...]
    zero: float
    bottom: float
    most: int
    least: int
    mondays: tuple[float, ...]
    span: Span

    @classmethod
    def of(cls, by_day: Sequence[tuple[Span, int]], span: Span, usable: int) -> FreeChart:
        """Draw what is free from day to day.

        Parameters
        ----------
        by_day : sequence of (Span, int)
            Stretches of days that fill `span`, with how many pieces are free; below 0 where more are promised.
        usable : int
            Pieces in service.
        """
        most = max(usable, *(free for _, free in by_day), 1)
        least = min(0, *(free for _, free in by_day))
        a_piece, a_day = HIGH / (most - least), (WIDTH - LEFT) / span.days
        zero = TOP + most * a_piece

        def drawn() -> Iterator[FreeStretch]:
            for days, free in by_day:
                x, width = LEFT + (days.first - span.first).days * a_day, days.days * a_day
                high = abs(free) * a_piece
                broad = width >= _FIGURE * (len(str(free)) + 0.5)
                yield FreeStretch(x, width, zero - high if free > 0 else zero, high, free, days, broad)

        return cls(tuple(drawn()), zero, TOP + HIGH, most, least, tuple(_mondays(span, a_day)), span)


def _mondays(span: Span, a_day: float) -> Iterator[float]:
    first = span.first + timedelta(days=-span.first.weekday() % 7)
    for days in range((first - span.first).days, span.days, 7):
        if span.days <= 7 * 60:
            yield LEFT + days * a_day


def weeks_from(today: date, weeks: int = 6) -> Span:
    """Return so many weeks from today on."""
    return Span(today, today + timedelta(days=7 * weeks - 1))
