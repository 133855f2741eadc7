"""The alternative a request's `keep` names by plan and rank, looked up among the jobs' plans."""

from __future__ import annotations

from typing import Any

from service.documents import read_plan
from service.records.jobs import JobRecords
from solver.plans import Alternative


def named_alternative(records: JobRecords, plan: Any, rank: Any) -> Alternative | None:
    """Return the alternative of this rank of a finished plan, None if there is no such one."""
    job = records.get(plan) if isinstance(plan, str) else None
    if job is None or job.plan is None or isinstance(rank, bool):
        return None
    return read_plan(dict(job.plan)).alternative(rank)
