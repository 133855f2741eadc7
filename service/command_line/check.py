"""`holdwright check`: recompute a plan from request, stock and plan document alone."""

from __future__ import annotations

import json
from pathlib import Path

from inventory.errors import InvalidDocument
from service.command_line.console import complain, read_input
from service.command_line.question import Unusable, read_question


def run_check(request: Path, plan: Path, stock: Path | None, db: str | None, everything: bool, as_json: bool) -> int:
    """Check one plan file; return the exit code."""
    from service.documents import sound_plan_document
    from solver.checks import check

    reading = request
    try:
        content = read_input(request)
        question, shelf, _ = read_question(content, request, stock, db)
        reading = plan
        document = sound_plan_document(read_input(plan))
    except Unusable as bad:
        return complain(bad.source, bad.faults)
    except InvalidDocument as bad:
        return complain(reading, bad.faults)
    report = check(question, shelf, document)
    if as_json:
        from service.documents.jobs import report_document

        print(json.dumps(report_document(report.ok, tuple(report.findings)), ensure_ascii=False, indent=1))
    else:
        from service.command_line.summary import print_report

        print_report(report, everything)
    return 0 if report.ok else 1
