"""The chart of a week: a band for each table, a column for each calendar day, a bar for each job; below, pieces and lists."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from service.drawings.paper.lettering import LARGE, NORMAL, SMALL, fitted, width_mm
from service.drawings.paper.marks import Box, Group, Mark, Picture, TextLine, line, name_of, rectangle, shifted
from service.drawings.paper.style import STYLE
from service.drawings.paper.svg import as_svg
from service.drawings.paper.tables import table
from service.drawings.weeks.lanes import JobBar, bars_of, lanes_in
from service.text import money

EDGE, HEADINGS, LANE, PAD = 10.0, 34.0, 7.0, 1.2
NARROWEST, WIDEST, LEAST_WIDTH = 5.6, 26.0, 277.0
MOST_ITEMS = 8
"""Items whose pieces are shown by day, the scarcest first."""
_MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
_WEEKDAYS = ("Mo", "Tu", "We", "Th", "Fr", "Sa", "Su")


def week_chart(week: Mapping[str, Any], currency: str = "", style: str = STYLE) -> str:
    """Return a ``holdwright.week-plan/1`` document as one SVG document."""
    return as_svg(week_picture(week, currency), style)


def week_picture(week: Mapping[str, Any], currency: str = "") -> Picture:
    """Return the chart of a week as a picture."""
    grid = _Grid.of(week)
    bars = bars_of(week)
    y = EDGE + LARGE
    marks: list[Mark] = [TextLine(_title(week, currency), (EDGE, y), "words", LARGE, bold=True)]
    y += 6.0
    marks.append(TextLine(_proof(week, currency), (EDGE, y), "quiet", NORMAL))
    y += 5.0
    marks += _days(grid, y)
    y += 9.0
    for name in week["tables"]:
        high = LANE * lanes_in(bars[name]) + 2 * PAD
        marks.append(_band(grid, name, bars[name], y, high))
        y += high
    y += 5.0
    scarce = week["pieces"][:MOST_ITEMS]
    if scarce:
        marks.append(TextLine("pieces taken of those free, the scarcest items", (EDGE, y), "words", SMALL, bold=True))
        y += 2.0
        for entry in scarce:
            marks += _item(grid, entry, y)
            y += 4.4
        y += 4.0
    for headings, rows in _lists(week, bars, currency):
        listed, low = table(headings, rows, grid.width - 2 * EDGE, 0.0)
        marks += shifted(listed, EDGE, y)
        y += low + 4.0
    page = Box(0.0, 0.0, grid.width, y + EDGE - 4.0)
    said = f"{len(week['assignments'])} jobs on {len(week['tables'])} tables; {len(week['left_over'])} left over"
    return Picture(page.width, page.height, (rectangle(page, "paper"), *marks), _title(week, currency), said)


@dataclass(frozen=True, slots=True)
class _Grid:
    """The columns of the days: the first day, those on which work is done, how wide a column is."""

    first: date
    length: int
    listed: frozenset[date]
    column: float

    @classmethod
    def of(cls, week: Mapping[str, Any]) -> _Grid:
        days = [date.fromisoformat(day) for day in week["days"]]
        length = (days[-1] - days[0]).days + 1
        room = LEAST_WIDTH - HEADINGS
        return cls(days[0], length, frozenset(days), min(WIDEST, max(NARROWEST, room / length)))

    @property
    def width(self) -> float:
        return max(LEAST_WIDTH, HEADINGS + self.length * self.column) + 2 * EDGE

    def left(self, day: int) -> float:
        return EDGE + HEADINGS + day * self.column

    def day(self, number: int) -> date:
        return self.first + timedelta(days=number)

    def shut(self) -> Iterator[int]:
        return (number for number in range(self.length) if self.day(number) not in self.listed)


def _days(grid: _Grid, top: float) -> Iterator[Mark]:
    for number in range(grid.length):
        day, middle = grid.day(number), grid.left(number) + grid.column / 2
        if number == 0 or day.day == 1:
            yield TextLine(f"{_MONTHS[day.month - 1]} {day.year}", (grid.left(number), top), "words", SMALL, bold=True)
        style = "words" if day in grid.listed else "quiet"
        yield TextLine(_WEEKDAYS[day.weekday()], (middle, top + 3.4), style, SMALL, "middle")
        yield TextLine(str(day.day), (middle, top + 7.0), style, SMALL, "middle")


def _band(grid: _Grid, name: str, bars: Sequence[JobBar], top: float, high: float) -> Group:
    box = Box(EDGE + HEADINGS, top, grid.left(grid.length), top + high)
    marks: list[Mark] = [rectangle(box, "table")]
    marks += [rectangle(Box(grid.left(day), top, grid.left(day + 1), top + high), "no-work") for day in grid.shut()]
    marks += [line((grid.left(day), top), (grid.left(day), top + high), style="rule") for day in range(1, grid.length)]
    marks.append(TextLine(fitted(name, LARGE, HEADINGS - 3.0, True), (EDGE, top + high / 2 + 1.2), "words", LARGE, bold=True))
    for bar in bars:
        marks += _bar(grid, bar, top + PAD + bar.lane * LANE)
    return Group(tuple(marks), name_of("table", name), name)


def _bar(grid: _Grid, bar: JobBar, top: float) -> Iterator[Mark]:
    entry = bar.entry
    inset = 0.4
    box = Box(grid.left(bar.first) + inset, top + 0.5, grid.left(bar.last + 1) - inset, top + LANE - 0.5)
    marks: list[Mark] = []
    # A set-up that stays goes through from the bar before.
    joint = Box(grid.left(bar.held) - inset - 0.9, top + 2.4, box.left + 0.9, top + LANE - 2.4)
    marks.append(rectangle(box, "job-late" if entry["days_late"] else "job"))
    if bar.stays:
        marks.append(rectangle(joint, "stays"))
    late = f" +{entry['days_late']} d" if entry["days_late"] else ""
    words = f"{bar.number} {entry['job']}{late}"
    short = f"{bar.number}{late}"
    room = box.width - 1.8
    text = (
        words
        if width_mm(words, SMALL) <= room
        else short
        if late or width_mm(short, SMALL) > room - 4
        else fitted(words, SMALL, room)
    )
    if width_mm(text, SMALL) > room:
        text = str(bar.number)
    marks.append(TextLine(text, (box.left + 1.4, top + LANE / 2 + 0.9), "words", SMALL, bold=bool(entry["days_late"])))
    yield Group(tuple(marks), name_of("job", entry["job"]), f"{entry['job']}: {entry['name']}", about=f"job:{entry['job']}")


def _item(grid: _Grid, entry: Mapping[str, Any], top: float) -> Iterator[Mark]:
    yield TextLine(fitted(entry["item"], SMALL, HEADINGS - 2.0), (EDGE, top + 3.1), "words", SMALL)
    for day, (free, taken) in enumerate(zip(entry["free"], entry["taken"], strict=True)):
        box = Box(grid.left(day), top, grid.left(day + 1), top + 4.2)
        yield rectangle(box, "used-up" if taken and taken >= free else "table" if taken else "no-work")
        if taken:
            words = f"{taken}/{free}"
            shown = words if width_mm(words, SMALL) < grid.column - 0.4 else str(taken)
            yield TextLine(shown, (box.middle[0], top + 3.1), "words", SMALL, "middle", bold=taken >= free)


def _lists(
    week: Mapping[str, Any], bars: Mapping[str, Sequence[JobBar]], currency: str
) -> Iterator[tuple[Sequence[str], Sequence[Sequence[str]]]]:
    rows = [
        [
            str(bar.number), fitted(bar.entry["job"], SMALL, 34.0), f"{bar.entry['table']}", str(bar.entry["rank"]),
            f"{bar.entry['days']['from']} to {bar.entry['days']['to']}",
            f"{bar.entry['days_late']} d" if bar.entry["days_late"] else "",
            money(bar.entry["cost"]["total_cents"], currency), _set(bar.entry), bar.entry["name"],
        ]
        for own in bars.values()
        for bar in own
    ]  # fmt: skip
    if rows:
        yield ("", "job", "table", "rank", "days", "late", "costs", "set-up", "name"), rows
    if week["left_over"]:
        yield (
            ("left over", "because and what would help"),
            [[fitted(each["job"], SMALL, 34.0), _why(each, currency)] for each in week["left_over"]],
        )


def _set(entry: Mapping[str, Any]) -> str:
    if entry["stays_after"] is not None:
        return fitted(f"stays from {entry['stays_after']}", SMALL, 44.0)
    seat = entry["seat"]
    moves = [f"{seat[axis]:+d} {axis}" for axis in ("columns", "rows") if seat[axis]]
    return f"shifted {', '.join(moves)}" if moves else "as planned"


def _why(each: Mapping[str, Any], currency: str) -> str:
    because = "; ".join(why["text"] for why in each["because"])
    helps = [_help(help, currency) for help in each["would_help"][:2]]
    return f"{each['name']}: {because}" + "".join(f" | {help}" for help in helps)


def _help(help: Mapping[str, Any], currency: str) -> str:
    if help["do"] == "buy":
        return (
            "buy "
            + ", ".join(f"{line['count']} {line['item']}" for line in help["buy"])
            + f" for {money(help['price_cents'], currency)}"
        )
    return f"release it on {help['release']}" if help["do"] == "release" else f"one more table like {help['table']}"


def _title(week: Mapping[str, Any], currency: str) -> str:
    return f"{week['days'][0]} to {week['days'][-1]}: {money(week['cost']['total_cents'], currency)}"


def _proof(week: Mapping[str, Any], currency: str) -> str:
    if week["status"] == "optimal":
        proved = "no week is better (proved)"
    else:
        proved = f"no week costs less than {money(week['cost_bound_cents'], currency)} ({week['gap']:.1%} less)"
    late = sum(entry["days_late"] > 0 for entry in week["assignments"])
    stays = sum(entry["stays_after"] is not None for entry in week["assignments"])
    return f"{proved}; {late} late, framed; {stays} on a set-up that stays, joined; {len(week['left_over'])} left over"
