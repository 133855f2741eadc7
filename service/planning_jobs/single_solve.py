"""One solve for the command line: a forked child, watched, stopped on request and ended at its limit.

The child loads the solver while this process reads the question: on two cores neither waits for the other.
"""

from __future__ import annotations

import contextlib
import multiprocessing
import os
import signal
import tempfile
import threading
import time
from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from multiprocessing.connection import Connection, wait
from multiprocessing.process import BaseProcess
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal

from service.errors import SolveDied, how_it_ended
from service.planning_jobs.job_folder import JobFolder
from service.planning_jobs.ledger_files import LedgerFiles
from service.planning_jobs.loading import load
from service.planning_jobs.parent_watch import end_with

if TYPE_CHECKING:
    from inventory.stock import StockSnapshot
    from solver.plans import Plan
    from solver.request import Request

GRACE_S = 2.0
"""A child that was asked to stop and does not is ended after so long, s."""
LOADING_S = 60.0
"""A child that has not begun to solve so long after it was asked is ended, s."""
_TICK_S = 0.1

Ending = Literal["by itself", "time", "cancel"]


@dataclass(frozen=True, slots=True)
class Question:
    """What is to be solved: the request, what is free on its days, and what is odd about it but harmless.

    At most `workers` processes solve it side by side; the plan is the same for any number, and wherever `ledgers` are kept.
    """

    request: Request
    stock: StockSnapshot
    warnings: tuple[str, ...] = ()
    workers: int = 1
    ledgers: LedgerFiles | None = None


def cores() -> int:
    """Return how many cores this process may run on."""
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1


def solve_question(folder: JobFolder, asked: Connection) -> None:
    """Load the solver, wait for the question and solve it: what the child does."""
    load("service.planning_jobs.child", "solver.planning")
    from service.planning_jobs.child import solve
    from solver.planning import plan

    question: Question = asked.recv()
    solve(partial(plan, workers=question.workers), question.request, question.stock, folder, question.warnings, question.ledgers)


def watched(
    read: Callable[[], Question],
    on_event: Callable[[dict[str, Any]], None],
    on_tick: Callable[[], None] = lambda: None,
    work: Callable[[JobFolder, Connection], None] = solve_question,
) -> Plan:
    """Read a question, have a child solve it and return the plan it handed over.

    The child is forked before anything is read, while this process is still small, so it costs milliseconds; where there is
    no fork it is spawned. Interrupt (Ctrl-C) asks it to stop and keep the best answer so far; a second one ends it.

    Parameters
    ----------
    read : callable
        Returns the question; what it raises ends the child and is passed on.
    on_event, on_tick : callable
        Called with each event of the child; called before the question is read and ten times a second after it.
    work : callable
        What the child does: `solve_question`.

    A child that dies leaves its best plan as well, and a warning that says so.

    Raises
    ------
    SolveDied
        If the child ended by itself without having told a plan, or had to be ended before it had begun.
    """
    with tempfile.TemporaryDirectory(prefix="holdwright-", ignore_cleanup_errors=True) as scratch:
        folder = JobFolder(Path(scratch) / "job").create()
        context = multiprocessing.get_context("fork" if "fork" in multiprocessing.get_all_start_methods() else "spawn")
        asked, asking = context.Pipe(duplex=False)
        child: BaseProcess = context.Process(target=_child, args=(work, folder, asked, os.getpid()), daemon=True)  # type: ignore[attr-defined]
        child.start()
        asked.close()
        try:
            on_tick()
            with asking, contextlib.suppress(BrokenPipeError):  # a child that is gone is found by watching it
                asking.send(read())
            ending = _watch(child, folder, on_event, on_tick)
        finally:
            if child.is_alive():
                child.kill()
            child.join()
        return _outcome(folder, ending, child.exitcode, on_event)


def _child(work: Callable[[JobFolder, Connection], None], folder: JobFolder, asked: Connection, parent: int) -> None:
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    threading.Thread(target=end_with, args=(parent,), daemon=True).start()
    work(folder, asked)


def _watch(
    child: BaseProcess, folder: JobFolder, on_event: Callable[[dict[str, Any]], None], on_tick: Callable[[], None]
) -> Ending:
    """Follow the child until it ends or its time is up; say which, or that it was asked to stop and did not."""
    seen, started, cancelled = 0, False, False
    ends = time.monotonic() + LOADING_S
    while time.monotonic() < ends:
        try:
            ended = bool(wait([child.sentinel], timeout=max(0.0, min(_TICK_S, ends - time.monotonic()))))
            if not started and (start := folder.get("started.json")) is not None:
                started = True
                limit = folder.ends_at() or ends
                ends = min(ends, limit) if cancelled else limit
                on_event(start)
            for event in folder.events(seen):
                seen += 1
                on_event(event)
            if ended:
                return "by itself"
            on_tick()
        except KeyboardInterrupt:
            if cancelled:
                return "cancel"
            cancelled = True
            folder.ask_to_stop()
            ends = min(ends, time.monotonic() + GRACE_S)
    return "cancel" if cancelled else "time"


def _outcome(folder: JobFolder, ending: Ending, exitcode: int | None, on_event: Callable[[dict[str, Any]], None]) -> Plan:
    from service.planning_jobs.best_so_far import answer_of_ended

    finished = folder.plan("plan")
    if finished is not None:
        return finished
    died = ending == "by itself"
    answer = answer_of_ended(folder, "time" if ending == "time" else "cancel")
    if answer is None or (died and not answer.alternatives):
        raise SolveDied(exitcode)
    if died:
        on_event({"warnings": [f"{how_it_ended(exitcode)}; this is the best plan it had found"]})
    return answer
