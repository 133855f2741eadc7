"""`holdwright check`: recompute a plan from request, stock and plan document alone."""

from __future__ import annotations

from pathlib import Path

from service.command_line.exit_code import read_from
from service.command_line.printing.console import DONE, REFUSED, print_json
from service.command_line.printing.summary import print_report
from service.command_line.sources import read_pair, read_question
from service.documents import sound_plan_document
from service.documents.jobs.check import report_document
from solver.checks import check


def check_plan(request: Path, plan: Path, stock: Path | None, db: str | None, everything: bool, as_json: bool) -> int:
    """Check one plan file; return the exit code."""
    asked, answered = read_pair(request, plan, "holdwright check REQUEST PLAN")
    question, shelf, _ = read_question(asked, request, stock, db, answered)
    with read_from(plan):
        document = sound_plan_document(answered)
    report = check(question, shelf, document)
    if as_json:
        print_json(report_document(report.ok, report.findings))
    else:
        print_report(report, everything)
    return DONE if report.ok else REFUSED
