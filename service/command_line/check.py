"""`holdwright check`: recompute a plan from request, stock and plan document alone."""

from __future__ import annotations

from pathlib import Path

from service.command_line.console import DONE, REFUSED, print_json, read_input
from service.command_line.exit_code import read_from
from service.command_line.sources import read_question
from service.command_line.summary import print_report
from service.documents import sound_plan_document
from service.documents.jobs.check import report_document
from solver.checks import check


def check_plan(request: Path, plan: Path, stock: Path | None, db: str | None, everything: bool, as_json: bool) -> int:
    """Check one plan file; return the exit code."""
    with read_from(request):
        content = read_input(request)
    question, shelf, _ = read_question(content, request, stock, db)
    with read_from(plan):
        document = sound_plan_document(read_input(plan))
    report = check(question, shelf, document)
    if as_json:
        print_json(report_document(report.ok, report.findings))
    else:
        print_report(report, everything)
    return DONE if report.ok else REFUSED
