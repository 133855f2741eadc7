"""A re-plan held against what stands: both from above, what is moved or put there ringed, and the steps of the hands."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from markupsafe import Markup

from inventory.stock import StockSnapshot
from service.page.comparing.columns import picture_of
from service.page.comparing.planned_job import PlannedJob
from service.steps import CHANGE_COLUMNS, STANDS, change_rows
from solver.plans import Alternative
from solver.weldment import LengthUnit


@dataclass(frozen=True, slots=True)
class BeforeAfter:
    """What stood and what is to stand: pictures, or why one cannot be drawn, and a row a step under its headings."""

    before: Markup | None
    before_undrawn: str
    after: Markup | None
    after_undrawn: str
    headings: tuple[str, ...]
    steps: Sequence[Sequence[str]]
    cheaper_cents: int
    nothing: str = STANDS


def before_after(planned: PlannedJob, one: Alternative, stock: StockSnapshot, units: LengthUnit) -> BeforeAfter | None:
    """Return what changes against the plan that was to be kept; None where none was."""
    kept = planned.request.keep
    if kept is None or one.changes is None:
        return None
    gone = frozenset(change.piece for change in one.changes if change.hole_before or change.stands_on_before)
    put = frozenset(change.piece for change in one.changes if change.hole or change.stands_on)
    before, why_not = picture_of(planned, kept, stock, units, "before", "as it stands", gone)
    after, why = picture_of(planned, one, stock, units, "after", "as it will stand", put)
    headings = tuple(column.heading for column in CHANGE_COLUMNS)
    rows = change_rows(one.changes, units)
    return BeforeAfter(before, why_not, after, why, headings, rows, kept.cost.total_cents - one.cost.total_cents)
