"""Overall sizes of a weldment along its own axes: between outermost faces of two parts, or a part's two ends."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from inventory.shapes import Array
from solver.checks.tolerances import TOUCH
from solver.first_article.measures import ArticleMeasure
from solver.first_article.reach import FinishedWeldment, MeasuredFace
from solver.first_article.tapes import Tape, between, measured
from solver.standards.iso13920 import LEAST_MM, LinearClass


def overall_sizes(finished: FinishedWeldment, tolerance_class: LinearClass) -> Iterator[ArticleMeasure]:
    """Yield the weldment's sizes along its x, y and z that fixture or saw decide.

    A size that one part's own section has by itself, such as the height of a tube, is none.
    """
    for axis in finished.scene.place[:3, :3].T:
        upward = axis if axis[np.argmax(np.abs(axis))] > 0 else -axis
        low, high = _outermost(finished, -upward), _outermost(finished, upward)
        if any(a.part == b.part and not _ends(finished, a, b) for a in low for b in high):
            continue
        tapes = [between(finished, a, b) for a in low for b in high]
        if tapes and (tape := min(tapes, key=_order)).length >= LEAST_MM:
            yield measured(finished, "overall", tape, tolerance_class)


def _outermost(finished: FinishedWeldment, direction: Array) -> list[MeasuredFace]:
    """Return the faces that bound the weldment along a direction; none if a corner or an edge does."""
    parts = finished.scene.parts.values()
    reach = max(float((part.block.corners @ direction).max()) - part.round_allowance for part in parts)
    outer = [face for part in parts for face in finished.looking(part.id, direction)]
    return [face for face in outer if face.height > reach - TOUCH]


def _ends(finished: FinishedWeldment, one: MeasuredFace, other: MeasuredFace) -> bool:
    plate = finished.scene.parts[one.part].part.section.shape == "plate"
    return not plate and not any(face.label.startswith("side") for face in (one, other))


def _order(tape: Tape) -> tuple[bool, bool, float]:
    """Return what tapes are preferred by: straight, between two parts, the least sure."""
    worst = 0.0 if tape.errors is None else round(float(np.abs(tape.errors).sum()), 6)
    return tape.beside > 1.0, tape.start.part == tape.end.part, -worst
