"""`holdwright check`: recompute a plan from request, stock and plan document alone."""

from __future__ import annotations

from pathlib import Path

from inventory.errors import Fault, InvalidDocument
from service.command_line.exit_code import read_from
from service.command_line.printing.console import DONE, REFUSED, print_json, read_input
from service.command_line.printing.summary import print_report
from service.command_line.sources import read_question
from service.documents import sound_plan_document
from service.documents.jobs.check import report_document
from service.documents.reading.text import read_text
from service.errors import InvalidSource
from service.files import LARGEST_FILE
from solver.checks import check


def check_plan(request: Path, plan: Path, stock: Path | None, db: str | None, everything: bool, as_json: bool) -> int:
    """Check one plan file; return the exit code."""
    with read_from(request):
        asked = read_input(request)
    with read_from(plan):
        answered = read_input(plan)
    _refuse_swapped(asked, answered, request)
    question, shelf, _ = read_question(asked, request, stock, db)
    with read_from(plan):
        document = sound_plan_document(answered)
    report = check(question, shelf, document)
    if as_json:
        print_json(report_document(report.ok, report.findings))
    else:
        print_report(report, everything)
    return DONE if report.ok else REFUSED


def _refuse_swapped(asked: bytes, answered: bytes, request: Path) -> None:
    """Say so if the plan was given first: every field of it would be at fault as a request."""
    if (_kind(asked), _kind(answered)) == ("plan", "request"):
        wrong = "the first file is a plan, the second a request: swap them"
        raise InvalidSource(request, [Fault("", wrong, "holdwright check REQUEST PLAN")])


def _kind(raw: bytes) -> str | None:
    """Return what a document says it is; None where it cannot be read or does not say."""
    try:
        values = read_text(raw, LARGEST_FILE).values
    except InvalidDocument:
        return None
    named = values.get("format") if isinstance(values, dict) else None
    return named.removeprefix("holdwright.").removesuffix("/1") if isinstance(named, str) else None
