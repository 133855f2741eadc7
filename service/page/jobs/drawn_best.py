"""The best plan so far of a job that runs, drawn."""

from __future__ import annotations

import json
from dataclasses import dataclass

from markupsafe import Markup

from service.documents import read_request
from service.documents.plan_document import read_alternative
from service.drawings.paper.svg import as_inline_svg
from service.drawings.scene import scene
from service.drawings.screen.overview import overview
from service.drawings.sheets.misfits import misfits
from service.drawings.subject import Subject
from service.planning_jobs.planning_service import PlanningService
from service.records.job import Job
from service.text import money
from solver.plans import Alternative

_ROOM_MM = (200.0, 120.0)


@dataclass(frozen=True, slots=True)
class DrawnBest:
    """A plan from above, its price, and its pieces in words for whoever does not see it."""

    drawing: Markup
    cents: int
    said: str
    pieces: tuple[str, ...]


def drawn_best(planning: PlanningService, job: Job) -> DrawnBest | None:
    """Return the best plan so far as it is drawn; None if there is none yet, or if the stock has changed under it."""
    found = planning.records.best_so_far(job.id)
    if found is None:
        return None
    alternative, stock = read_alternative(dict(found)), planning.stock.snapshot()
    request, _ = read_request(json.loads(job.request))
    if misfits(alternative, request, stock):
        return None
    currency = planning.settings.currency
    drawn = scene(Subject(alternative, request, stock, currency=currency))
    price = money(alternative.cost.total_cents, currency)
    picture = overview(drawn, _ROOM_MM, said=f"Best plan so far, {price}, from above")
    said = f"{price}: {_sum(alternative)} on table {alternative.table}."
    lines = tuple(f"{line.count} x {line.name or line.item}" for line in alternative.kit)
    inline = Markup(as_inline_svg(picture, "best"))  # which escapes what it is given
    return DrawnBest(inline, alternative.cost.total_cents, said, lines)


def _sum(alternative: Alternative) -> str:
    count = len(alternative.placements)
    return f"{count} piece{'' if count == 1 else 's'}"
