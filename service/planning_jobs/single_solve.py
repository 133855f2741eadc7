"""One solve for the command line: a forked child, watched, stopped on request and ended at its limit + 2 s."""

from __future__ import annotations

import multiprocessing
import os
import signal
import tempfile
import threading
import time
from collections.abc import Callable
from multiprocessing.connection import wait
from multiprocessing.process import BaseProcess
from pathlib import Path
from typing import Any, Literal

from service.errors import SolveDied
from service.planning_jobs.job_folder import JobFolder
from service.planning_jobs.parent_watch import end_with

GRACE_S = 2.0
READING_S = 60.0
_TICK_S = 0.1

Ending = Literal["by itself", "time", "cancel"]


def watched(work: Callable[[JobFolder], None], on_event: Callable[[dict[str, Any]], None]) -> dict[str, Any]:
    """Run `work` in a child and return what it handed over: a plan document, or `{"faults": ...}`.

    The child is forked while this process is still small, so it costs milliseconds; where there is no fork it is
    spawned. Interrupt (Ctrl-C) asks the child to stop and keep the best answer so far; a second one ends it.

    Raises
    ------
    SolveDied
        If the child ended, or had to be ended, with nothing handed over.
    """
    with tempfile.TemporaryDirectory(prefix="holdwright-", ignore_cleanup_errors=True) as folder:
        spool = JobFolder(Path(folder) / "job").create()
        context = multiprocessing.get_context("fork" if "fork" in multiprocessing.get_all_start_methods() else "spawn")
        child: BaseProcess = context.Process(target=_child, args=(work, spool, os.getpid()), daemon=True)  # type: ignore[attr-defined]
        child.start()
        try:
            ending = _watch(child, spool, on_event)
        finally:
            if child.is_alive():
                child.kill()
            child.join()
        return _outcome(spool, ending, child.exitcode)


def _child(work: Callable[[JobFolder], None], spool: JobFolder, parent: int) -> None:
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    threading.Thread(target=end_with, args=(parent,), daemon=True).start()
    work(spool)


def _watch(child: BaseProcess, spool: JobFolder, on_event: Callable[[dict[str, Any]], None]) -> Ending:
    """Follow the child until it ends or its time is up; say which, or that it was asked to stop and did not."""
    seen, started, cancelled = 0, False, False
    ends = time.monotonic() + READING_S
    while time.monotonic() < ends:
        try:
            ended = bool(wait([child.sentinel], timeout=_TICK_S))
            if not started and (start := spool.get("started.json")) is not None:
                started = True
                ends = time.monotonic() + float(start["limit_s"]) + GRACE_S
                on_event(start)
            for event in spool.events(seen):
                seen += 1
                on_event(event)
            if ended:
                return "by itself"
        except KeyboardInterrupt:
            if cancelled:
                return "cancel"
            cancelled = True
            spool.ask_to_stop()
            ends = min(ends, time.monotonic() + GRACE_S)
    return "cancel" if cancelled else "time"


def _outcome(spool: JobFolder, ending: Ending, exitcode: int | None) -> dict[str, Any]:
    finished = spool.get("faults.json") or spool.get("plan.json")
    if finished is not None:
        return finished
    kept = spool.get("best.json") or spool.get("unknown.json")
    if kept is None or ending == "by itself":
        raise SolveDied(exitcode)
    return {**kept, "stopped_by": ending}
