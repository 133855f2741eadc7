"""`holdwright plan`: read, solve in a watched child, write the document, draw the cheapest, rank all.

What reads the question is imported when the child is under way: it loads the solver meanwhile.
"""

from __future__ import annotations

import sys
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

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
    from service.command_line.weldment_run import WeldmentRun
    from solver.plans import Plan

STANDARD_OUTPUT = Path("-")


def plan_request(
    request: Path, run: WeldmentRun, stock: Path | None, db: str | None, out: Path | None, question_out: Path | None,
    workers: int | None, cache: bool, quiet: bool, as_json: bool,
) -> int:  # fmt: skip
    """Plan one request, or a run of one weldment, by so many workers, None: one a core; return the exit code."""
    for written in (out, question_out):
        if written is not None:
            refuse_unwritable(written)
    with read_from(request):
        content = read_input(request)
    asked: list[bytes | dict[str, Any]] = []

    def question(ledgers: LedgerFiles | None) -> Question:
        load("service.command_line.sources")
        from service.command_line.sources import read_question, tables_of
        from service.command_line.weldment_run import request_of, told_by_option

        asked.append(request_of(content, request, run, lambda: tables_of(stock, db)))
        with told_by_option(request, asked[0]):
            return Question(*read_question(asked[0], request, stock, db), workers or cores(), ledgers)

    answer = answered(question, cache, quiet)
    if out is not None:
        write_plan(out, answer.plan)
    if question_out is not None:
        _write_question(question_out, asked[0])
    return shown(answer, out, quiet, as_json)


@dataclass(frozen=True, slots=True)
class AnsweredQuestion:
    """A plan, the question it answers and the shop's currency."""

    plan: Plan
    question: Question
    currency: str


def answered(read: Callable[[LedgerFiles | None], Question], cache: bool, quiet: bool) -> AnsweredQuestion:
    """Read a question while a child loads the solver, and have it solved."""
    with read_from("settings"):
        settings = Settings.read()
    ledgers = LedgerFiles.of(settings) if cache else None
    put: list[Question] = []

    def question() -> Question:
        put.append(read(ledgers))
        return put[0]

    with ProgressLine(settings.currency, quiet) as line:
        return AnsweredQuestion(watched(question, line.hear, line.tick), put[0], settings.currency)


def shown(answer: AnsweredQuestion, out: Path | None, quiet: bool, as_json: bool) -> int:
    """Print a plan as JSON or in words, unless the document itself goes to standard output; return the exit code."""
    if as_json and out != STANDARD_OUTPUT:
        write_plan(STANDARD_OUTPUT, answer.plan)
    elif not quiet and out != STANDARD_OUTPUT:
        from service.command_line.printing.answer import print_best

        print_best(answer.plan, answer.question.request, answer.question.stock, answer.currency)
    return DONE if answer.plan.alternatives else REFUSED


def refuse_unwritable(out: Path) -> None:
    """Say so before anything is solved if a document cannot be left there."""
    if out != STANDARD_OUTPUT and (not out.parent.is_dir() or out.is_dir()):
        raise InvalidSource(out, [Fault("", "cannot be written there", "a file name in a folder that exists")])


def _write_question(out: Path, asked: bytes | dict[str, Any]) -> None:
    """Write the request that was planned: the one made of a weldment, or the request file as it came."""
    text = asked.decode("utf-8-sig") if isinstance(asked, bytes) else laid_out(asked) + "\n"
    if out == STANDARD_OUTPUT:
        sys.stdout.write(text)
    else:
        write_text(out, text)


def write_plan(out: Path, answer: Plan) -> None:
    """Write the plan document to a file or to standard output."""
    from service.documents import plan_document

    text = laid_out(plan_document(answer)) + "\n"
    if out == STANDARD_OUTPUT:
        sys.stdout.write(text)
    else:
        write_text(out, text)
