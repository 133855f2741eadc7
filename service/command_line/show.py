"""`holdwright show`: print a plan again as it was printed when it was made, from the documents."""

from __future__ import annotations

from pathlib import Path

from service.command_line.finished_plan import FinishedPlan
from service.command_line.printing.answer import print_answer
from service.command_line.printing.console import DONE, REFUSED


def show_plan(request: Path, plan: Path, stock: Path | None, db: str | None, rank: int, everything: bool) -> int:
    """Print one alternative of a plan file, or every one, then all of them ranked; return the exit code."""
    found = FinishedPlan.read(request, plan, stock, db, "holdwright show REQUEST PLAN")
    chosen = found.plan.alternatives
    if chosen and not everything:
        chosen = (found.alternative(rank),)
    print_answer(found.plan, [found.subject(one) for one in chosen], found.currency, found.request.weldment.units)
    return DONE if chosen else REFUSED
