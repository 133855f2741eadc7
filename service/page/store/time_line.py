"""Who holds what on a line of days: a bar a reservation, row by row, drawn so that words stand beside their bars."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from inventory.availability import Span
from inventory.reservations import Reservation, State
from service.page.wording import day

_WIDEST, _NARROWEST_DAY, _BROADEST_DAY = 1200.0, 4.0, 30.0
_LETTER, _TITLE, _BAR, _LANE, _HEAD, _GAP = 6.4, 20.0, 14.0, 36.0, 24.0, 8.0
"""Room in px: a letter of a label, the name of a row, a bar's height, a bar with its label, the days on top, between rows."""
_LONGEST_NAME = 44
_LONGEST_LINE_DAYS = 366


@dataclass(frozen=True, slots=True)
class HeldBar:
    """One reservation as a bar; `more_before`, `more_after`: it goes on beyond the days shown."""

    number: int
    state: State
    x: float
    width: float
    y: float
    label: str
    label_x: float
    anchor: str
    more_before: bool
    more_after: bool


@dataclass(frozen=True, slots=True)
class LineRow:
    """The bars of one row, and its name, empty where each bar says all."""

    title: str
    y: float
    height: float
    bars: tuple[HeldBar, ...]


@dataclass(frozen=True, slots=True)
class TimeLine:
    """The drawing; px.

    Parameters
    ----------
    mondays : tuple of (float, str)
        Where weeks begin, with the day in words where there is room for it.
    today : float or None
        Where today's middle is, None if it is not among the days.
    beyond : int
        Reservations that have no day among those shown.
    """

    span: Span
    rows: tuple[LineRow, ...]
    width: float
    height: float
    bar: float
    mondays: tuple[tuple[float, str], ...]
    today: float | None
    beyond: int


def span_shown(found: Sequence[Reservation], today: date) -> Span:
    """Return the days to show where none were asked for: from three days ago until the last promise ends, 4 to 12 weeks."""
    first = today - timedelta(days=3)
    ends = max((_held(each, today).last for each in found), default=today)
    return Span(first, min(max(ends, first + timedelta(days=27)), first + timedelta(days=83)))


def by_reservation(found: Sequence[Reservation], span: Span, today: date) -> TimeLine:
    """Draw one row a reservation."""
    rows = [("", [(each, f"{each.id} {_cut(each.job)}, {_words(each)}")]) for each in found]
    return _drawn(rows, found, span, today)


def by_item(found: Sequence[Reservation], names: Mapping[str, str], span: Span, today: date) -> TimeLine:
    """Draw one row an item, with a bar for each reservation that has pieces of it."""
    held: dict[str, list[tuple[Reservation, str]]] = {}
    for each in found:
        for line in each.lines:
            held.setdefault(line.item, []).append((each, f"{each.id} {_cut(each.job)}: {line.pieces}, {_words(each)}"))
    return _drawn([(names.get(item) or item, bars) for item, bars in sorted(held.items())], found, span, today)


def overdue_days(there: Reservation, today: date) -> int:
    """Return how many days ago a kit that is out should have come back, 0 if it need not have."""
    return max(0, (today - there.span.last).days) if there.state == "on_the_table" else 0


def _held(there: Reservation, today: date) -> Span:
    """Return the days a reservation is shown on: a kit that is out is out until it is back."""
    return Span(there.span.first, max(there.span.last, today) if overdue_days(there, today) else there.span.last)


def _words(there: Reservation) -> str:
    return there.state.replace("_", " ")


def _drawn(
    rows: Iterable[tuple[str, Sequence[tuple[Reservation, str]]]], found: Sequence[Reservation], span: Span, today: date
) -> TimeLine:
    days = Span(span.first, min(span.last, span.first + timedelta(days=_LONGEST_LINE_DAYS - 1)))
    a_day = min(_BROADEST_DAY, max(_NARROWEST_DAY, _WIDEST / days.days))
    width = days.days * a_day
    drawn, y = [], _HEAD
    for title, bars in rows:
        top = y + (_TITLE if title else 0)
        shown = list(_lanes(bars, days, a_day, width, top, today))
        if shown:
            end = max(bar.y for bar in shown) + _BAR + _GAP
            drawn.append(LineRow(_cut(title), y, end - y, tuple(shown)))
            y = end
    middle = ((today - days.first).days + 0.5) * a_day if days.first <= today <= days.last else None
    return TimeLine(
        days,
        tuple(drawn),
        width,
        y + _GAP,
        _BAR,
        tuple(_mondays(days, a_day, width, middle)),
        middle,
        sum(not _held(each, today).overlaps(days) for each in found),
    )


def _lanes(
    bars: Sequence[tuple[Reservation, str]], days: Span, a_day: float, width: float, top: float, today: date
) -> Iterator[HeldBar]:
    """Yield bars, those that would run into each other or each other's words below one another."""
    ends: list[float] = []
    for there, label in sorted(bars, key=lambda one: (one[0].span.first, one[0].id)):
        held = _held(there, today)
        if not held.overlaps(days):
            continue
        x = max(0, (held.first - days.first).days) * a_day
        end = min(days.days, (held.last - days.first).days + 1) * a_day
        room = len(label) * _LETTER
        starts = x if x + room <= width else max(0.0, width - room)
        lane = next((index for index, taken in enumerate(ends) if min(x, starts) >= taken), len(ends))
        taken = max(end, starts + room) + _GAP
        ends[lane : lane + 1] = [taken]
        ends_right = x + room > width and room <= width
        yield HeldBar(
            there.id,
            there.state,
            x,
            end - x,
            top + lane * _LANE + _LANE - _BAR - 4,
            label,
            width if ends_right else starts,
            "end" if ends_right else "start",
            held.first < days.first,
            held.last > days.last,
        )


def _mondays(days: Span, a_day: float, width: float, today: float | None) -> Iterator[tuple[float, str]]:
    free_from = 0.0
    for index in range(-days.first.weekday() % 7, days.days, 7):
        words, x = day(days.first + timedelta(days=index)).partition(" ")[2], index * a_day
        words = words.rpartition(" ")[0] if free_from else words
        end = x + len(words) * _LETTER
        hides_today = today is not None and x - 4 * _LETTER < today < end + 4 * _LETTER
        fits = x >= free_from and end <= width and not hides_today
        yield x, words if fits else ""
        free_from = end + 2 * _LETTER if fits else free_from


def _cut(words: str) -> str:
    return words if len(words) <= _LONGEST_NAME else words[: _LONGEST_NAME - 1] + "…"
