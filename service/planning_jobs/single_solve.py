"""One solve for the command line: a forked child, watched, stopped on request and ended at its limit."""

from __future__ import annotations

import importlib
import multiprocessing
import os
import signal
import tempfile
import threading
import time
from collections.abc import Callable, Iterable
from multiprocessing.connection import wait
from multiprocessing.process import BaseProcess
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal

from inventory.errors import Fault
from service.errors import InvalidSource, SolveDied, how_it_ended
from service.planning_jobs.job_folder import JobFolder
from service.planning_jobs.parent_watch import end_with

if TYPE_CHECKING:
    from solver.plans import Plan

GRACE_S = 2.0
"""A child that was asked to stop and does not is ended after so long, s."""
READING_S = 60.0
_TICK_S = 0.1

Ending = Literal["by itself", "time", "cancel"]


def watched(
    work: Callable[[JobFolder], None], on_event: Callable[[dict[str, Any]], None], on_tick: Callable[[], None] = lambda: None
) -> Plan:
    """Run `work` in a child and return the plan it handed over; `on_tick` is called ten times a second meanwhile.

    The child is forked while this process is still small, so it costs milliseconds; where there is no fork it is
    spawned. Interrupt (Ctrl-C) asks the child to stop and keep the best answer so far; a second one ends it.

    A child that dies leaves its best plan as well, and a warning that says so.

    Raises
    ------
    InvalidSource
        If the child handed over faults instead (`hand_over_faults`).
    SolveDied
        If the child ended by itself without having told a plan, or had to be ended before it had begun.
    """
    with tempfile.TemporaryDirectory(prefix="holdwright-", ignore_cleanup_errors=True) as scratch:
        folder = JobFolder(Path(scratch) / "job").create()
        context = multiprocessing.get_context("fork" if "fork" in multiprocessing.get_all_start_methods() else "spawn")
        child: BaseProcess = context.Process(target=_child, args=(work, folder, os.getpid()), daemon=True)  # type: ignore[attr-defined]
        child.start()
        # What the answer is made and written with takes half a second to import: forked without it, it is there in time.
        threading.Thread(target=_import, args=("service.planning_jobs.best_so_far", "service.documents"), daemon=True).start()
        try:
            ending = _watch(child, folder, on_event, on_tick)
        finally:
            if child.is_alive():
                child.kill()
            child.join()
        return _outcome(folder, ending, child.exitcode, on_event)


def hand_over_faults(folder: JobFolder, source: str, faults: Iterable[Fault]) -> None:
    """Hand over what is wrong with a source instead of a plan."""
    folder.put("faults.json", {"source": source, "faults": [[fault.pointer, fault.wrong, fault.accepted] for fault in faults]})


def _import(*modules: str) -> None:
    for module in modules:
        importlib.import_module(module)


def _child(work: Callable[[JobFolder], None], folder: JobFolder, parent: int) -> None:
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    threading.Thread(target=end_with, args=(parent,), daemon=True).start()
    work(folder)


def _watch(
    child: BaseProcess, folder: JobFolder, on_event: Callable[[dict[str, Any]], None], on_tick: Callable[[], None]
) -> Ending:
    """Follow the child until it ends or its time is up; say which, or that it was asked to stop and did not."""
    seen, started, cancelled = 0, False, False
    ends = time.monotonic() + READING_S
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

    found = folder.get("faults.json")
    if found is not None:
        raise InvalidSource(found["source"], (Fault(*fault) for fault in found["faults"]))
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
