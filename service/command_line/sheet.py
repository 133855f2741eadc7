"""`holdwright sheet`: one alternative of a plan as a file, in any format there is."""

from __future__ import annotations

import sys
from pathlib import Path

from inventory.errors import Fault
from service.command_line.exit_code import read_from
from service.command_line.finished_plan import FinishedPlan
from service.command_line.plan import STANDARD_OUTPUT, refuse_unwritable
from service.command_line.printing.console import DONE, REFUSED, note
from service.documents.jobs.plan_words import refusal_lines, standing
from service.drawings.formats import Format
from service.drawings.sheets.wanted_format import format_named, format_of_file, offered, paper_named
from service.errors import InvalidSource
from service.files import write_bytes


def write_sheet(
    request: Path, plan: Path, stock: Path | None, db: str | None, rank: int, out: Path, format: str | None, paper: str
) -> int:
    """Write one alternative of a plan file to a file or to standard output; return the exit code."""
    wanted = _format(out, format)
    with read_from("--paper"):
        printed_on = paper_named(paper)
    refuse_unwritable(out)
    found = FinishedPlan.read(request, plan, stock, db, "holdwright sheet REQUEST PLAN --out FILE")
    if not found.plan.alternatives:
        for line in (standing(found.plan), *refusal_lines(found.plan, found.currency)):
            note(line)
        return REFUSED
    content = wanted.content(found.subject(found.alternative(rank), printed_on))
    if out == STANDARD_OUTPUT:
        sys.stdout.buffer.write(content)
    else:
        write_bytes(out, content)
    return DONE


def _format(out: Path, name: str | None) -> Format:
    """Return the format that is asked for by name, else by the ending of the file."""
    if name is not None:
        with read_from("--format"):
            return format_named(name)
    if out == STANDARD_OUTPUT:
        raise InvalidSource(
            "--format", [Fault("", "is missing: standard output has no ending", "one of " + ", ".join(offered()))]
        )
    with read_from(out):
        return format_of_file(out)
