"""`holdwright demo`: plan a job of the demo shop, show it in the terminal, leave plan and drawing behind."""

from __future__ import annotations

import sys
from collections.abc import Iterable
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING

from service.command_line.exit_code import read_from
from service.command_line.printing.console import BAD_INPUT, DONE, REFUSED, note, print_wrapped
from service.command_line.printing.progress_line import ProgressLine
from service.demo import MAIN_JOB, job_document, job_names, stock_document
from service.files import laid_out, write_bytes
from service.planning_jobs.ledger_files import LedgerFiles
from service.planning_jobs.single_solve import Question, cores, watched
from service.settings import Settings
from service.text import printable

if TYPE_CHECKING:
    from solver.plans import Plan


def run_demo(job: str | None = None, out: Path | None = None, workers: int | None = None, as_json: bool = False) -> int:
    """Plan one demo job and show it; return the exit code.

    Parameters
    ----------
    job : str, optional
        Name of a demo job; the main one if absent.
    out : Path, optional
        Folder to put request, stock, plan and drawing in; made if it does not exist. `holdwright-demo` here if absent.
    workers : int, optional
        So many processes plan it side by side; one a core if absent.
    as_json : bool
        Whether to print the plan document and nothing else.
    """
    job = MAIN_JOB if job is None else job
    if job not in job_names():
        note(f"there is no demo job {job!r}; accepted: {', '.join(job_names())}")
        return BAD_INPUT
    folder = Path("holdwright-demo") if out is None else out
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        note(f"{folder}: cannot be made: {error.strerror}; accepted: a folder that exists or can be made")
        return BAD_INPUT
    with read_from("settings"):
        settings = Settings.read()
    currency, ledgers = settings.currency, LedgerFiles.of(settings)
    with ProgressLine(currency) as line:
        plan = watched(lambda: replace(demo_question(job), workers=workers or cores(), ledgers=ledgers), line.hear, line.tick)
    written = _leave_behind(job, plan, folder, currency)
    if as_json:
        sys.stdout.write(written[f"{job}.plan.json"].decode())
    else:
        _show(job, plan, folder, written, currency)
    return DONE if plan.alternatives else REFUSED


def demo_question(job: str) -> Question:
    """Return a demo job as it is put to the solver: on the demo shop's shelf."""
    from service.documents import read_request, read_stock

    shelf = read_stock(stock_document())
    request, warnings = read_request(job_document(job), shelf)
    return Question(request, shelf, tuple(str(warning) for warning in warnings))


def _leave_behind(job: str, plan: Plan, folder: Path, currency: str) -> dict[str, bytes]:
    """Write request, stock, plan and every drawing; return them by file name."""
    from service.command_line.finished_plan import identity_of
    from service.documents import plan_document
    from service.drawings.sheets.wanted_format import offered
    from service.drawings.subject import Subject

    asked = demo_question(job)
    request, document = job_document(job), (laid_out(plan_document(plan)) + "\n").encode()
    written = {f"{job}.request.json": request, "stock.json": stock_document(), f"{job}.plan.json": document}
    if plan.alternatives:
        identity = identity_of(request, document, plan, datetime.now(UTC).date())
        best = Subject(plan.alternatives[0], asked.request, asked.stock, identity, currency)
        written |= {f"{job}{each.suffix}": each.content(best) for each in offered().values()}
    for name, content in written.items():
        write_bytes(folder / name, content)
    return written


def _show(job: str, plan: Plan, folder: Path, written: Iterable[str], currency: str) -> None:
    from service.command_line.printing.answer import print_best

    asked = demo_question(job)
    if not plan.alternatives:
        print_wrapped(printable(asked.request.weldment.name))
    print_best(plan, asked.request, asked.stock, currency)
    print_wrapped("written: " + ", ".join(str(folder / name) for name in written), "  ")
    if plan.alternatives:
        plan_file, shelf_file = folder / f"{job}.plan.json", folder / "stock.json"
        print(f"check it again: holdwright check {folder / f'{job}.request.json'} {plan_file} --stock {shelf_file}")
