"""Overall sizes of a weldment along its own axes: between outermost faces of two parts, or a part's two ends."""

from __future__ import annotations

from collections.abc import Iterator

from inventory.shapes import Array
from solver.checks.tolerances import TOUCH
from solver.first_article.measures import ArticleMeasure
from solver.first_article.positions import near_and_far
from solver.first_article.prediction import worst_and_rss
from solver.first_article.reach import FinishedWeldment, MeasuredFace
from solver.first_article.tapes import Tape, between, measured
from solver.standards.iso13920 import LEAST_MM, LinearClass

STRAIGHT = 1.0
"""A tape whose ends lie no farther beside each other runs straight, mm."""


def overall_sizes(finished: FinishedWeldment, tolerance_class: LinearClass) -> Iterator[ArticleMeasure]:
    """Yield the weldment's sizes along its x, y and z that fixture or saw decide.

    A size that one part's own section has by itself, such as the height of a tube, is none.
    """
    for axis in finished.scene.place[:3, :3].T:
        low, high = (_outermost(finished, outward) for outward in near_and_far(axis))
        if any(a.part == b.part and not _ends(finished, a, b) for a in low for b in high):
            continue
        tapes = [between(finished, a, b) for a in low for b in high]
        if tapes and (tape := min(tapes, key=_order)).length >= LEAST_MM:
            yield measured(finished, "overall", tape, tolerance_class)


def _outermost(finished: FinishedWeldment, direction: Array) -> list[MeasuredFace]:
    """Return the faces that bound the weldment along a direction; none if a corner, an edge or an outer body does."""
    parts = finished.scene.all_parts.values()
    heights = {part.id: float((part.block.corners @ direction).max()) for part in parts}
    reach = max(heights[part.id] - part.round_allowance for part in parts) - TOUCH
    outer = [face for id in finished.scene.parts if heights[id] > reach for face in finished.looking(id, direction)]
    return [face for face in outer if face.height > reach]


def _ends(finished: FinishedWeldment, one: MeasuredFace, other: MeasuredFace) -> bool:
    return not finished.scene.parts[one.part].part.flat and not any(face.label.startswith("side") for face in (one, other))


def _order(tape: Tape) -> tuple[bool, bool, float]:
    """Return what tapes are preferred by: straight, between two parts, the least sure."""
    worst, _ = worst_and_rss(tape.errors)
    return tape.beside > STRAIGHT, tape.start.part == tape.end.part, -round(worst or 0.0, 6)
