"""How soon a plan is there once it is cancelled: demo jobs stopped at drawn moments, in a child as the service's workers solve them.

    python -m tests.benchmarks cancel [--moments MOMENTS] [--longest SECONDS] [JOB ...]

The child is never ended from outside: it hands its plan over by itself. Seconds of wall clock count what else the machine does,
CPU seconds of the child do not. Of a child that is late it is told where it was by then.
"""

from __future__ import annotations

import faulthandler
import multiprocessing
import os
import random
import re
import signal
import tempfile
import time
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from statistics import quantiles

from service.demo import job_document, job_names, stock_document
from service.documents import read_request, read_stock
from service.planning_jobs.child import solve
from service.planning_jobs.job_folder import JobFolder
from solver.planning import plan
from solver.plans import Plan
from solver.request import Request

MOMENTS = 8
LONGEST_S = 10.0
FIRST_S = 0.1
LATE_S = 0.5
GIVEN_UP_S = 60.0
STOCK = read_stock(stock_document())
_FRAME = re.compile(r'File "[^"]*?/((?:solver|inventory|service)/[^"]*)", line (\d+) in (\w+)')


@dataclass(frozen=True)
class Ended:
    """A solve that was stopped: the plan, seconds and CPU seconds from then until it was handed over, where it was if late."""

    plan: Plan
    wall_s: float
    cpu_s: float
    where: str = ""


def report(jobs: Sequence[str], moments: int, longest: float) -> None:
    """Print the times, by job and of all, and where those were that were late."""
    draw, found, places = random.Random(1), list[Ended](), list[str]()
    for job in jobs or job_names():
        own = []
        for number in range(moments):
            share = (number + draw.random()) / moments
            ended = stopped_at(request_of(job), FIRST_S + share * (longest - FIRST_S))
            if ended is None:
                break  # it had ended by itself, and so it has at all later moments
            own.append(ended)
            places += [f"{job} at {share:.2f}: {ended.where}"] if ended.where else []
        print(
            f"{job:16} {len(own)} stops  {_figures([each.wall_s for each in own])} s  {_figures([each.cpu_s for each in own])} s CPU"
        )
        found += own
    print(
        f"{'all':16} {len(found)} stops  {_figures([each.wall_s for each in found])} s  {_figures([each.cpu_s for each in found])} s CPU"
    )
    print(f"median, p90, p99, most; {len(places)} had no plan there after {LATE_S:g} s CPU", *places, sep="\n  ")


def request_of(job: str, limit: float | None = None) -> Request:
    """Return a demo job's request, with another time limit if one is given, s."""
    request, _ = read_request(job_document(job), STOCK)
    return request if limit is None else replace(request, time_limit_s=limit)


def stopped_at(request: Request, moment: float) -> Ended | None:
    """Return how a solve ended that was asked to stop so many seconds after it had begun; None if it had ended by then."""
    with tempfile.TemporaryDirectory(prefix="hw-cancel-") as scratch:
        folder = JobFolder(Path(scratch) / "job").create()
        child = multiprocessing.get_context("fork").Process(target=_child, args=(request, folder))
        child.start()
        try:
            _wait(lambda: folder.get("started.json") is not None)
            time.sleep(moment)
            if folder.has_plan("plan"):
                return None
            folder.ask_to_stop()
            began, used, where = time.monotonic(), cpu_of(child.pid), ""
            while not folder.has_plan("plan") and time.monotonic() < began + GIVEN_UP_S:
                time.sleep(0.002)
                if not where and cpu_of(child.pid) - used > LATE_S:
                    where = _where(child.pid, folder)
            ended = folder.plan("plan")
            assert ended is not None, f"no plan {GIVEN_UP_S:g} s after the stop"
            return Ended(ended, time.monotonic() - began, cpu_of(child.pid) - used, where)
        finally:
            child.kill()
            child.join()


def _child(request: Request, folder: JobFolder) -> None:
    with (folder.folder / "where").open("w") as file:
        faulthandler.register(signal.SIGUSR1, file=file)
        solve(plan, request, STOCK, folder)
        time.sleep(GIVEN_UP_S)  # its CPU seconds can be read as long as it lives


def _where(pid: int | None, folder: JobFolder) -> str:
    """Return the innermost of our functions a child is in."""
    assert pid is not None
    os.kill(pid, signal.SIGUSR1)
    time.sleep(0.05)
    frames = _FRAME.findall((folder.folder / "where").read_text())
    return " < ".join(f"{path}:{line} {name}" for path, line, name in frames[:5])


def cpu_of(pid: int | None) -> float:
    """Return the CPU seconds a process has used so far, in steps of 10 ms."""
    fields = Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()
    return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")


def _wait(until: Callable[[], bool]) -> None:
    while not until():
        time.sleep(0.002)


def _figures(seconds: Iterable[float]) -> str:
    """Return the median, the ninth tenth, the 99th hundredth and the most of some times."""
    times = sorted(seconds)
    if not times:
        return "-"
    cuts = quantiles(times, n=100, method="inclusive") if len(times) > 1 else times * 99
    return " ".join(f"{value:.2f}" for value in (cuts[49], cuts[89], cuts[98], times[-1]))
