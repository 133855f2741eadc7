"""`holdwright demo`: plan a job of the demo shop, show it in the terminal, leave plan and drawing behind."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING

from rich.console import Console
from rich.markup import escape

from service.command_line.console import BAD_INPUT, DONE, REFUSED, note
from service.demo import MAIN_JOB, job_document, job_names, stock_document
from service.files import laid_out, write_bytes
from service.planning_jobs.job_folder import JobFolder
from service.planning_jobs.single_solve import watched

if TYPE_CHECKING:
    from solver.plans import Plan


def run_demo(job: str | None = None, out: Path | None = None, console: Console | None = None) -> int:
    """Plan one demo job and show it; return the exit code.

    Parameters
    ----------
    job : str, optional
        Name of a demo job; the main one if absent.
    out : Path, optional
        Folder to put request, stock, plan and drawing in; made if it does not exist. `holdwright-demo` here if absent.
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
    if sys.stderr.isatty():
        note(f"planning {job} ...")
    plan = watched(DemoSolve(job), lambda event: None)
    return _show(job, plan, folder, console or Console())


class DemoSolve:
    """What the solving child does for one demo job."""

    def __init__(self, job: str) -> None:
        self.job = job

    def __call__(self, folder: JobFolder) -> None:
        from service.documents import read_request, read_stock
        from service.planning_jobs.child import solve
        from solver.planning import plan

        shelf = read_stock(stock_document())
        request, warnings = read_request(job_document(self.job), shelf)
        solve(plan, request, shelf, folder, tuple(str(warning) for warning in warnings))


def _show(job: str, plan: Plan, folder: Path, console: Console) -> int:
    from service.command_line.summary import print_plan
    from service.documents import plan_document, read_request, read_stock
    from service.drawings.formats import FORMATS
    from service.drawings.scene import scene
    from service.drawings.terminal import print_top_view

    shelf = read_stock(stock_document())
    request, _ = read_request(job_document(job), shelf)
    written = {
        f"{job}.request.json": job_document(job),
        "stock.json": stock_document(),
        f"{job}.plan.json": (laid_out(plan_document(plan)) + "\n").encode(),
    }
    parts, welds = len(request.weldment.parts), len(request.weldment.welds)
    console.print(f"[bold]{escape(request.weldment.name)}[/]: {parts} parts, {welds} welds, {request.quantity} off")
    if plan.alternatives:
        best = plan.alternatives[0]
        written |= {f"{job}{format.suffix}": format.content(best, request, shelf) for format in FORMATS.values()}
        print_top_view(scene(best, request, shelf), console)
    print_plan(plan, console)
    for name, content in written.items():
        write_bytes(folder / name, content)
    console.print("written: " + ", ".join(str(folder / name) for name in written), markup=False, soft_wrap=True)
    if not plan.alternatives:
        return REFUSED
    check = f"holdwright check {folder / f'{job}.request.json'} {folder / f'{job}.plan.json'} --stock {folder / 'stock.json'}"
    console.print("check it again: " + check, markup=False, soft_wrap=True)
    return DONE
