"""Measured against predicted times: a dot a report, a line where time is what was predicted; setups and cycles apart."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from service.drawings.paper.lettering import NORMAL, SMALL, width_mm
from service.drawings.paper.marks import Box, Disc, Group, Mark, Picture, TextLine, line, rectangle
from service.drawings.paper.style import STYLE, STYLE_BY_NIGHT
from service.drawings.paper.svg import as_svg
from service.drawings.prices.chart import Scale
from service.palette import BY_NIGHT, COLOURS
from solver.time_study.reports import agreement_of
from solver.time_study.work import What

_WIDE, _HIGH = 190.0, 112.0
_BOXES: Mapping[What, Box] = {"setup": Box(18, 14, 88, 84), "cycle": Box(114, 14, 184, 84)}
_UNITS: Mapping[What, tuple[str, float]] = {"setup": ("min", 60.0), "cycle": ("s", 1.0)}
_LEAST_S = 0.1
_MOST_NUMBERED = 12
_DOT, _LARGE_DOT = 1.0, 1.3
_AROUND = 1.5


@dataclass(frozen=True, slots=True)
class ChartedTime:
    """One report as it is drawn.

    Parameters
    ----------
    predicted_s, measured_s : float
        By the plan it was measured at; without the arc.
    own : bool
        Whether it belongs to the plan that is looked at.
    little : bool
        Whether it counts for less than half.
    """

    number: int
    what: What
    predicted_s: float
    measured_s: float
    own: bool = False
    little: bool = False


def agreement_chart(times: Sequence[ChartedTime]) -> str:
    """Return the drawing as SVG, which a viewer shows dark on light or light on dark."""
    night = {**COLOURS, **BY_NIGHT}
    style = f"{STYLE}\n{_own_style(COLOURS)}\n@media (prefers-color-scheme:dark){{{STYLE_BY_NIGHT}\n{_own_style(night)}}}"
    return as_svg(picture(times), style)


def picture(times: Sequence[ChartedTime]) -> Picture:
    """Return the drawing."""
    marks: list[Mark] = [rectangle(Box(0, 0, _WIDE, _HIGH), "paper")]
    said = []
    for what in _BOXES:
        mine = [each for each in times if each.what == what and each.predicted_s >= _LEAST_S]
        marks += _square(what, mine)
        said.append(_said(what, mine))
    marks += _legend(times)
    return Picture(_WIDE, _HIGH, tuple(marks), "Measured against predicted times", " ".join(said))


def _square(what: What, times: Sequence[ChartedTime]) -> Iterator[Mark]:
    box, (unit, seconds) = _BOXES[what], _UNITS[what]
    yield rectangle(box, "times-ground")
    yield TextLine(f"{what}s, {unit}", (box.left, box.top - 2.6), size=SMALL + 0.5, bold=True)
    yield TextLine(f"predicted, {unit}", ((box.left + box.right) / 2, box.bottom + 8.4), "quiet", SMALL, "middle")
    yield TextLine(f"measured, {unit}", (box.left - 10.6, (box.top + box.bottom) / 2), "quiet", SMALL, "middle", upright=True)
    if not times:
        yield TextLine("nothing was measured yet", box.middle, "quiet", NORMAL, "middle")
        return
    both = [value / seconds for each in times for value in (each.predicted_s, each.measured_s)]
    low, high = min(both) / _AROUND, max(both) * _AROUND
    across, up = Scale(low, high, box.left, box.right), Scale(low, high, box.bottom, box.top)
    yield from _grid(box, across, up)
    yield line((box.left, box.bottom), (box.right, box.top), style="times-equal")
    yield from _dots(box, times, across, up, seconds)


def _grid(box: Box, across: Scale, up: Scale) -> Iterator[Mark]:
    free = -1e9
    for value, _ in across.ticks():
        place, words = across.at(value), f"{value:g}"
        yield line((place, box.top), (place, box.bottom), style="times-rule")
        half = width_mm(words, SMALL) / 2
        if place - half > free:
            yield TextLine(words, (place, box.bottom + 3.6), "quiet", SMALL, "middle")
            free = place + half + 1.5
    below = 1e9
    for value, _ in up.ticks():
        place = up.at(value)
        yield line((box.left, place), (box.right, place), style="times-rule")
        if place + SMALL < below:
            yield TextLine(f"{value:g}", (box.left - 1.5, place + 0.9), "quiet", SMALL, "end")
            below = place


def _dots(box: Box, times: Sequence[ChartedTime], across: Scale, up: Scale, seconds: float) -> Iterator[Mark]:
    """Yield the dots, those of the plan that is looked at on top; the first few that count little have their numbers."""
    ordered = sorted(times, key=lambda one: (one.own, one.little, one.number))
    places = [(across.at(each.predicted_s / seconds), up.at(each.measured_s / seconds)) for each in ordered]
    for each, at in zip(ordered, places, strict=True):
        style = "times-little" if each.little else "times-own" if each.own else "times-dot"
        said = f"report {each.number}: {each.measured_s:g} s measured, {each.predicted_s:g} s predicted"
        yield Group((Disc(at, _LARGE_DOT if each.own or each.little else _DOT, style),), f"report-{each.number}", said)
    taken = [Box(x - _LARGE_DOT, y - _LARGE_DOT, x + _LARGE_DOT, y + _LARGE_DOT) for x, y in places]
    numbered = [(each, at) for each, at in zip(ordered, places, strict=True) if each.little]
    for each, (x, y) in numbered[:_MOST_NUMBERED]:
        beside = (
            TextLine(str(each.number), (x + 1.9, y + 0.9), "quiet", SMALL),
            TextLine(str(each.number), (x - 1.9, y + 0.9), "quiet", SMALL, "end"),
            TextLine(str(each.number), (x, y - 2.0), "quiet", SMALL, "middle"),
            TextLine(str(each.number), (x, y + 3.6), "quiet", SMALL, "middle"),
        )
        free = (one for one in beside if one.box.within(box) and not any(one.box.meets(other, 0.2) for other in taken))
        number = next(free, None)
        if number is not None:
            taken.append(number.box)
            yield number


def _legend(times: Sequence[ChartedTime]) -> Iterator[Mark]:
    y, x = _HIGH - 12.0, 18.0
    entries = [("times-dot", "a report")]
    entries += [("times-own", "of this plan")] if any(each.own for each in times) else []
    entries += [("times-little", "counts for less than half")] if any(each.little for each in times) else []
    for style, words in entries:
        yield Disc((x, y - 0.9), 1.2, style)
        yield TextLine(words, (x + 2.4, y), size=SMALL)
        x += 8.0 + width_mm(words, SMALL)
    yield line((x, y - 0.9), (x + 6, y - 0.9), style="times-equal")
    yield TextLine("as predicted", (x + 7.4, y), size=SMALL)
    for k, what in enumerate(_BOXES):
        mine = [each for each in times if each.what == what and each.predicted_s >= _LEAST_S]
        yield TextLine(_said(what, mine), (18.0, y + 4.4 + 4.0 * k), "quiet", SMALL)


def _said(what: What, times: Sequence[ChartedTime]) -> str:
    found = agreement_of([(each.measured_s, each.predicted_s) for each in times])
    if found is None:
        return f"{what.capitalize()}s: nothing was measured yet."
    many = "1 report" if found.count == 1 else f"{found.count} reports, scatter {100 * found.scatter:.0f} %"
    return f"{what.capitalize()}s take {found.ratio:.2f} times what is predicted (the middle one; {many})."


def _own_style(named: Mapping[str, str]) -> str:
    return (
        f".times-ground{{fill:{named['plate']};stroke:{named['slate']};stroke-width:.18}}"
        f".times-rule{{stroke:{named['mist']};stroke-width:.18}}"
        f".times-equal{{fill:none;stroke:{named['slate']};stroke-width:.35;stroke-dasharray:2 1}}"
        f".times-dot{{fill:{named['petrol']};fill-opacity:.75;stroke:{named['plate']};stroke-width:.18}}"
        f".times-own{{fill:{named['ochre']};stroke:{named['ink']};stroke-width:.25}}"
        f".times-little{{fill:{named['plate']};stroke:{named['madder']};stroke-width:.45}}"
    )
