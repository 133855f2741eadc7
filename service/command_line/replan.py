"""`holdwright replan`: plan again with something missing, broken or blocked, and say step by step what the hands do.

What reads the question is imported when the child is under way: it loads the solver meanwhile.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from inventory.errors import Fault, InvalidDocument
from service.command_line.exit_code import read_from
from service.command_line.plan import STANDARD_OUTPUT, answered, refuse_unwritable, shown, write_plan
from service.command_line.printing.console import note, read_input
from service.files import laid_out, write_text
from service.planning_jobs.ledger_files import LedgerFiles
from service.planning_jobs.loading import load
from service.planning_jobs.single_solve import Question, cores


@dataclass(frozen=True, slots=True)
class WhatChanged:
    """Which alternative of a plan stands, and what may not be used any more, as the command line's words."""

    rank: int
    missing: Sequence[str] = ()
    broken: Sequence[str] = ()
    holes: Sequence[str] = ()


def replan_request(
    request: Path, plan: Path, stock: Path | None, db: str | None, changed: WhatChanged, out: Path | None,
    question_out: Path | None, workers: int | None, cache: bool, quiet: bool, as_json: bool,
) -> int:  # fmt: skip
    """Plan a request again, changing as little of a plan's alternative as possible; return the exit code."""
    for written in (out, question_out):
        if written is not None:
            refuse_unwritable(written)
    with read_from(request):
        asked = read_input(request)
    with read_from(plan):
        stands = read_input(plan)
    again: dict[str, Any] = {}

    def question(ledgers: LedgerFiles | None) -> Question:
        load("service.command_line.sources")
        from service.command_line.sources import read_question

        again.update(_asked_again(asked, request, stands, plan, changed))
        return Question(*read_question(again, request, stock, db), workers or cores(), ledgers)

    answer = answered(question, cache, quiet)
    if out is not None:
        write_plan(out, answer.plan)
    if question_out is not None:
        write_text(question_out, laid_out(again) + "\n")
    code = shown(answer, out, quiet, as_json)
    if db is not None and not quiet and not as_json and out != STANDARD_OUTPUT:
        for item, count in again["without"].get("broken", {}).items():
            note(f"to take what is broken out of service: holdwright stock break {item} {count} --db {db}")
    return code


def _asked_again(asked: bytes, request: Path, stands: bytes, plan: Path, changed: WhatChanged) -> Mapping[str, Any]:
    """Return the request that keeps as much as possible of the plan under what has changed."""
    from service.documents import read_plan
    from service.documents.jobs.replan import replanned
    from service.documents.reading.text import read_text

    with read_from(plan):
        before = read_plan(stands)
    with read_from(request):
        text = read_text(asked)
        faults = text.faults if isinstance(text.values, dict) else (Fault("", "is no object", "a request document"),)
        if faults:
            raise InvalidDocument(list(faults))
    return replanned(text.values, before, {"rank": changed.rank, "without": _without(changed)})


def _without(changed: WhatChanged) -> dict[str, Any]:
    """Return `without` of the new request: what is missing and what is broken together, and what of it is broken."""
    from service.command_line.arguments import pieces_by_item

    missing, broken = pieces_by_item(changed.missing, "missing"), pieces_by_item(changed.broken, "broken")
    items = {item: missing.get(item, 0) + broken.get(item, 0) for item in {**missing, **broken}}
    return {"items": items, "broken": broken, "holes": list(changed.holes)}
