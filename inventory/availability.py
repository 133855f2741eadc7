"""Free pieces over spans of days: pure arithmetic on promises.

What is free in a span is what could be promised on every one of its days: count - out of service - the most pieces
promised on any day of it. Two promises that follow each other may share a piece; two that share a day may not.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from inventory.errors import Conflict, Fault, refuse
from inventory.limits import LATEST_DAY, day_faults

_MONTHS = (
    "January", "February", "March", "April", "May", "June", "July", "August", "September", "October", "November", "December",
)  # fmt: skip
LONGEST_SPAN_DAYS = 3660


@dataclass(frozen=True, slots=True)
class Span:
    """Calendar days from `first` to `last`, both included; `asked_span` has the limits of those somebody asks for."""

    first: date
    last: date

    def __post_init__(self) -> None:
        """Refuse a span that ends before it begins."""
        if self.last < self.first:
            wrong = f"the last day {self.last.isoformat()} is before the first, {self.first.isoformat()}"
            refuse([Fault("/to", wrong, f"{self.first.isoformat()} or later")])

    @property
    def days(self) -> int:
        """Number of days, both ends included."""
        return (self.last - self.first).days + 1

    def overlaps(self, other: Span) -> bool:
        """Return whether the two share a day."""
        return self.first <= other.last and other.first <= self.last

    def from_day(self, first: date) -> Span:
        """Return a span of the same length that starts on another day; it ends with the calendar at the latest."""
        return Span(first, date.fromordinal(min(first.toordinal() + self.days - 1, date.max.toordinal())))


def span_faults(span: Span, under: str = "") -> Iterator[Fault]:
    """Yield what keeps days from being asked for: a day that is not in the calendar, more than ten years.

    `under` is the pointer to the document that has them in `from` and `to`.
    """
    beyond = [*day_faults(f"{under}/from", span.first), *day_faults(f"{under}/to", span.last)]
    yield from beyond
    if not beyond and span.days > LONGEST_SPAN_DAYS:
        yield Fault(f"{under}/to", f"{span.days} days", f"at most {LONGEST_SPAN_DAYS} days")


def asked_span(first: date, last: date) -> Span:
    """Return the days somebody asks for; raises InvalidDocument for days in the wrong order and as `span_faults` says."""
    span = Span(first, last)
    refuse(span_faults(span))
    return span


def distant_faults(span: Span, today: date, under: str = "") -> Iterator[Fault]:
    """Yield a fault if days that pieces are to be promised for end more than ten years from today."""
    furthest = today + timedelta(days=LONGEST_SPAN_DAYS)
    if span.last > furthest:
        wrong = f"{span.last.isoformat()} is more than {LONGEST_SPAN_DAYS} days ahead"
        yield Fault(f"{under}/to", wrong, f"{furthest.isoformat()} or earlier")


@dataclass(frozen=True, slots=True)
class Promise:
    """Pieces of one item held over a span."""

    span: Span
    pieces: int


def peak(promises: Iterable[Promise], span: Span) -> int:
    """Return the most pieces promised on any one day of the span."""
    changes: dict[date, int] = {}
    for promise in promises:
        if promise.span.overlaps(span):
            begin = max(promise.span.first, span.first)
            changes[begin] = changes.get(begin, 0) + promise.pieces
            if promise.span.last < span.last:
                end = promise.span.last + timedelta(days=1)
                changes[end] = changes.get(end, 0) - promise.pieces
    most = held = 0
    for day in sorted(changes):
        held += changes[day]
        most = max(most, held)
    return most


def stretches(usable: int, promises: Sequence[Promise], span: Span) -> list[tuple[Span, int]]:
    """Return the span cut where the free pieces change, each stretch with their number (below 0: promised beyond)."""
    here = [promise.span for promise in promises if promise.span.overlaps(span)]
    ends_within = {each.last + timedelta(days=1) for each in here if each.last < span.last}
    days = sorted({span.first} | {max(each.first, span.first) for each in here} | ends_within)
    ends = [day - timedelta(days=1) for day in days[1:]] + [span.last]
    found: list[tuple[Span, int]] = []
    for begin, end in zip(days, ends, strict=True):
        free = usable - peak(promises, Span(begin, begin))
        if found and found[-1][1] == free:
            found[-1] = (Span(found[-1][0].first, end), free)
        else:
            found.append((Span(begin, end), free))
    return found


def free_from(usable: int, promises: Sequence[Promise], span: Span, needed: int) -> date | None:
    """Return the first day, not before the span's, from which `needed` pieces are free for as many days; None if never.

    Free pieces only grow when a promise ends, so the days after the promises' last ones are the only candidates. A promise that
    outlives the calendar never ends.
    """
    if needed > usable:
        return None
    days = {span.first} | {p.span.last + timedelta(days=1) for p in promises if span.first <= p.span.last < LATEST_DAY}
    return next((day for day in sorted(days) if usable - peak(promises, span.from_day(day)) >= needed), None)


@dataclass(frozen=True, slots=True)
class ShortLine:
    """One line that cannot be promised: what was needed, what is free, and from when more is.

    `usable` counts the pieces in service, promised or not. `more_from` is the first day with more free than now (`more_free` of
    them), `enough_from` the first with enough; both for a span of the same length, None if no day has that many.
    """

    item: str
    name: str
    span: Span
    needed: int
    free: int
    usable: int
    more_free: int | None
    more_from: date | None
    enough_from: date | None

    def __str__(self) -> str:
        """State the rule and the numbers: `riser 75 mm: 6 needed, 4 free from 2 March; 6 free from 9 March`."""
        year = self.span.first.year
        said = f"{self.name}: {self.needed} needed, {self.free} free from {day_name(self.span.first)}"
        if self.enough_from is not None:
            return f"{said}; {self.needed} free from {day_name(self.enough_from, year)}"
        if self.more_from is not None:
            return f"{said}; {self.more_free} free from {day_name(self.more_from, year)}; only {self.usable} in service"
        return f"{said}; only {self.usable} in service"


def short_line(item: str, name: str, usable: int, promises: Sequence[Promise], span: Span, needed: int) -> ShortLine | None:
    """Return why `needed` pieces cannot be promised over the span, None if they can."""
    usable = max(0, usable)
    free = max(0, usable - peak(promises, span))
    if needed <= free:
        return None
    enough = free_from(usable, promises, span, needed)
    more = free_from(usable, promises, span, free + 1)
    more_free = None if more is None else usable - peak(promises, span.from_day(more))
    return ShortLine(item, name, span, needed, free, usable, more_free, more, enough)


class Shortage(Conflict):
    """Pieces were asked for that are not free; `lines` has every short line, and nothing was promised."""

    def __init__(self, lines: Sequence[ShortLine]) -> None:
        self.lines = tuple(lines)
        super().__init__("; ".join(str(line) for line in self.lines))


def day_name(day: date, year: int | None = None) -> str:
    """Return a day as the shop says it, `2 March`, with the year if it is not `year` (when one is given)."""
    said = f"{day.day} {_MONTHS[day.month - 1]}"
    return said if year is None or day.year == year else f"{said} {day.year}"
