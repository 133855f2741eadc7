"""`holdwright sheet`: one alternative of a plan as a file, in any format there is."""

from __future__ import annotations

from pathlib import Path

from service.command_line.drawn_file import wanted_format, write_content
from service.command_line.exit_code import read_from
from service.command_line.finished_plan import FinishedPlan
from service.command_line.plan import refuse_unwritable
from service.command_line.printing.console import DONE, REFUSED, note
from service.documents.jobs.plan_words import refusal_lines, standing
from service.drawings.formats import FORMATS
from service.drawings.sheets.wanted_format import paper_named


def write_sheet(
    request: Path, plan: Path, stock: Path | None, db: str | None, rank: int, out: Path, format: str | None, paper: str
) -> int:
    """Write one alternative of a plan file to a file or to standard output; return the exit code."""
    wanted = wanted_format(FORMATS, out, format)
    with read_from("--paper"):
        printed_on = paper_named(paper)
    refuse_unwritable(out)
    found = FinishedPlan.read(request, plan, stock, db, "holdwright sheet REQUEST PLAN --out FILE")
    if not found.plan.alternatives:
        for line in (standing(found.plan), *refusal_lines(found.plan, found.currency)):
            note(line)
        return REFUSED
    content = wanted.content(found.subject(found.alternative(rank), printed_on))
    write_content(out, content)
    return DONE
