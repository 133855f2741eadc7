"""What a short time limit gives on every demo job: the answer, when its first plan was there, how long after the limit it came.

    python -m tests.benchmarks limits [--seconds SECONDS ...] [JOB ...]

Limits are CPU seconds, as if the job were alone on the machine.
"""

from __future__ import annotations

from collections.abc import Sequence

from service.demo import job_names
from tests.benchmarks.cancels import STOCK, request_of
from tests.benchmarks.planning_run import timed

SECONDS = (1.0, 2.0, 5.0)


def report(jobs: Sequence[str], limits: Sequence[float]) -> None:
    """Print a line for each job and limit, and for each limit how many jobs had a plan and how late the latest answer came."""
    late: dict[float, list[float]] = {limit: [] for limit in limits}
    planned = dict.fromkeys(limits, 0)
    for job in jobs or job_names():
        for limit in limits:
            run = timed(request_of(job, limit), STOCK, limit)
            late[limit].append(run.seconds - limit)
            planned[limit] += bool(run.plan.alternatives)
            first = "-" if run.first is None else f"{run.first:.2f} s"
            print(f"{job:16} {limit:g} s  {run.plan.status:10} first plan {first:7} ended {run.seconds - limit:+.2f} s")
    for limit in limits:
        print(
            f"{limit:g} s: {planned[limit]} of {len(late[limit])} planned, the latest {max(late[limit]):+.2f} s after the limit"
        )
