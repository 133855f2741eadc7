"""The first-article check as lines to measure and fill in."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from service.drawings.subject import Subject
from service.text import figure, length
from solver.first_article import ArticleMeasure, first_article
from solver.weldment import LengthUnit

MOST = 14
"""So many measures are printed, the telling ones first."""


@dataclass(frozen=True, slots=True)
class ArticleLine:
    """One measure: what, with what tool, its nominal and tolerance, how far locating alone may put it off."""

    words: str
    tool: str
    nominal: str
    tolerance: str
    predicted: str


def article_lines(subject: Subject) -> tuple[tuple[ArticleLine, ...], int]:
    """Return the measures that are printed, and how many more there are."""
    measures = first_article(subject.request, subject.stock, subject.alternative)
    units = subject.request.weldment.units
    printed = chosen(measures, MOST)
    return tuple(_line(measure, units) for measure in printed), len(measures) - len(printed)


def chosen(measures: Sequence[ArticleMeasure], most: int) -> list[ArticleMeasure]:
    """Return at most so many measures in their order: right angles and places share what the others leave."""
    shared = [[one for one in measures if one.kind == kind] for kind in ("squareness", "position")]
    first = [one for one in measures if one.kind not in ("squareness", "position")][:most]
    left = most - len(first)
    square = max(left // 2, left - len(shared[1]))
    place = left - min(square, len(shared[0]))
    return [*first, *shared[0][:square], *shared[1][:place]]


def _line(measure: ArticleMeasure, units: LengthUnit) -> ArticleLine:
    leg = "" if measure.leg_mm is None else f", read over {length(measure.leg_mm, units)}"
    tolerance = f"±{figure(measure.plus_minus_mm, units)}, {measure.tolerance_source}"
    predicted = "not known" if measure.worst_mm is None else f"±{figure(measure.worst_mm, units)}"
    return ArticleLine(f"{measure.words}{leg}", measure.tool, length(measure.nominal_mm, units), tolerance, predicted)
