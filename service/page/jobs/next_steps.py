"""What can be done with a job that has ended: asked again as it was, with more time, or changed; and what went wrong."""

from __future__ import annotations

import json
import math
from dataclasses import dataclass

from service.http.reference.problem_kinds import KINDS, ProblemKind
from service.planning_jobs.planning_service import PlanningService
from service.records.job import Job
from service.weldments.asking.asked_rest import TIME_LIMIT_S

_LONGER = 4.0
"""Where the time ran out, so many times as much is offered."""


@dataclass(frozen=True, slots=True)
class NextSteps:
    """What is offered and told of a job that has ended.

    Parameters
    ----------
    longer_s : int or None
        Seconds to try next where the time ran out; None where more may not be asked for or would change nothing.
    failure : ProblemKind or None
        What went wrong.
    """

    job: Job
    longer_s: int | None
    failure: ProblemKind | None


def next_steps(job: Job, planning: PlanningService) -> NextSteps:
    """Return what is offered of a job that has ended."""
    failure = None if job.failure is None else KINDS[job.failure.kind]
    return NextSteps(job, _longer_s(job, planning.settings.time_limit), failure)


def _longer_s(job: Job, most_s: float) -> int | None:
    if job.plan is None or job.plan.get("stopped_by") != "time":
        return None
    given = float(json.loads(job.request).get("time_limit_s", TIME_LIMIT_S))
    longer = min(math.ceil(_LONGER * given), int(most_s))
    return longer if longer > given else None
