"""The first-article check as lines to measure and fill in."""

from __future__ import annotations

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
    return tuple(_line(measure, units) for measure in measures[:MOST]), max(0, len(measures) - MOST)


def _line(measure: ArticleMeasure, units: LengthUnit) -> ArticleLine:
    tolerance = f"±{figure(measure.plus_minus_mm, units)}, {measure.tolerance_source}"
    predicted = "not known" if measure.worst_mm is None else f"±{figure(measure.worst_mm, units)}"
    return ArticleLine(measure.words, measure.tool, length(measure.nominal_mm, units), tolerance, predicted)
