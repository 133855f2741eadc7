"""`holdwright plan`: read, solve in a watched child, write the document, print the ranked alternatives.

What reads the question is imported when the child is under way: it loads the solver meanwhile.
"""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING

from inventory.errors import Fault
from service.command_line.exit_code import read_from
from service.command_line.printing.console import DONE, REFUSED, read_input
from service.command_line.printing.progress_line import ProgressLine
from service.errors import InvalidSource
from service.files import laid_out, write_text
from service.planning_jobs.ledger_files import LedgerFiles
from service.planning_jobs.loading import load
from service.planning_jobs.single_solve import Question, cores, watched
from service.settings import Settings

if TYPE_CHECKING:
    from solver.plans import Plan

_STANDARD_OUTPUT = Path("-")


def plan_request(
    request: Path, stock: Path | None, db: str | None, out: Path | None, workers: int | None, cache: bool, quiet: bool,
    as_json: bool,
) -> int:  # fmt: skip
    """Plan one request file by so many workers, None: one a core; return the exit code."""
    with read_from("settings"):
        settings = Settings.read()
    currency, ledgers = settings.currency, LedgerFiles.of(settings) if cache else None
    if out is not None:
        _refuse_unwritable(out)
    with read_from(request):
        content = read_input(request)
    with ProgressLine(currency, quiet) as line:
        answer = watched(lambda: _question(content, request, stock, db, workers or cores(), ledgers), line.hear, line.tick)
    if out is not None:
        _write(out, answer)
    if as_json and out != _STANDARD_OUTPUT:
        _write(_STANDARD_OUTPUT, answer)
    elif not quiet and out != _STANDARD_OUTPUT:
        from service.command_line.printing.summary import print_plan

        print_plan(answer, currency)
    return DONE if answer.alternatives else REFUSED


def _question(
    content: bytes, request: Path, stock: Path | None, db: str | None, workers: int, ledgers: LedgerFiles | None
) -> Question:
    load("service.command_line.sources")
    from service.command_line.sources import read_question

    return Question(*read_question(content, request, stock, db), workers, ledgers)


def _refuse_unwritable(out: Path) -> None:
    if out != _STANDARD_OUTPUT and (not out.parent.is_dir() or out.is_dir()):
        raise InvalidSource(out, [Fault("", "cannot be written there", "a file name in a folder that exists")])


def _write(out: Path, answer: Plan) -> None:
    from service.documents import plan_document

    text = laid_out(plan_document(answer)) + "\n"
    if out == _STANDARD_OUTPUT:
        sys.stdout.write(text)
    else:
        write_text(out, text)
