"""The first-article check of a plan: all that is measured on the first weldment, the telling ones first."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from inventory.stock import StockSnapshot
from solver.checks.rules.stations import by_station
from solver.checks.scene.scene import set_scene
from solver.first_article.asked import ASKED_POINT, asked_tolerances
from solver.first_article.diagonals import diagonals
from solver.first_article.measures import ArticleMeasure
from solver.first_article.overall import overall_sizes
from solver.first_article.positions import positions
from solver.first_article.prediction import both_readings
from solver.first_article.reach import FinishedWeldment
from solver.first_article.squareness import right_angles
from solver.plans import Alternative
from solver.request import Request
from solver.standards.iso13920 import LinearClass

USUAL_CLASS: LinearClass = "B"
"""The class that drawings of light fabrications name most; common practice, no source."""


def first_article(
    request: Request, stock: StockSnapshot, alternative: Alternative, tolerance_class: LinearClass = USUAL_CLASS
) -> tuple[ArticleMeasure, ...]:
    """Return what to measure on the first weldment of a plan.

    Parameters
    ----------
    request, stock : Request, StockSnapshot
        What the plan was made for.
    alternative : Alternative
        One that is sound: the checker has no fault to find with its ids, table, items and holes. Of several stations the first
        is measured, they are equal.
    tolerance_class : {"A", "B", "C", "D"}
        Class of ISO 13920 by which everything is judged that the weldment asks no tolerance for.

    Returns
    -------
    tuple of ArticleMeasure
        Tolerances asked for, overall sizes, diagonals; then right angles, those over long legs first, and places along a part,
        those of which locating may use up the most first, one for each part; last the further ones of parts that have theirs.

    Raises
    ------
    KeyError
        If the alternative names a table or an item the stock does not have.
    """
    scene = set_scene(request, stock, request.rules, by_station(alternative)[0])
    finished = FinishedWeldment(scene, both_readings(scene))
    asked = tuple(asked_tolerances(finished))
    overall = _not_asked(overall_sizes(finished, tolerance_class), asked)
    square, more_square = _once_each(right_angles(finished, tolerance_class))
    placed, more_placed = _once_each(_not_asked(positions(finished, tolerance_class), asked))
    return (*asked, *overall, *diagonals(finished, tolerance_class), *square, *placed, *more_square, *more_placed)


def _not_asked(measures: Iterable[ArticleMeasure], asked: Sequence[ArticleMeasure]) -> list[ArticleMeasure]:
    """Return the measures that no tolerance asked for reads already, between the same faces."""
    known = [{point.words.removeprefix(f"{ASKED_POINT} on ") for point in one.points} for one in asked]
    return [one for one in measures if {point.words for point in one.points} not in known]


def _once_each(measures: Iterable[ArticleMeasure]) -> tuple[list[ArticleMeasure], list[ArticleMeasure]]:
    """Return the first measure of each part that stands on another one, then all others.

    Long legs come first, then what locating may use up of the tolerance.
    """
    first: dict[str, ArticleMeasure] = {}
    others = []
    for measure in sorted(measures, key=lambda measure: (-(measure.leg_mm or 0.0), -round(measure.share, 3))):
        part = measure.points[-1].part
        if part in first:
            others.append(measure)
        else:
            first[part] = measure
    return list(first.values()), others
