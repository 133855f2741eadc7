"""What requests and weeks name of finished plans: an alternative by plan and rank, a plan's kits by its id."""

from __future__ import annotations

import json
from typing import Any

from service.documents import read_plan
from service.records.jobs import JobRecords
from service.stockroom.kits import PlannedKit
from solver.plans import Alternative


def finished_kit(records: JobRecords, id: str) -> PlannedKit | None:
    """Return the kits of a finished plan, None if there is no such plan."""
    job = records.get(id)
    return (
        None
        if job is None or job.kind != "plan" or job.plan is None
        else PlannedKit(id, read_plan(dict(job.plan)), json.loads(job.request))
    )


def named_alternative(records: JobRecords, plan: Any, rank: Any) -> Alternative | None:
    """Return the alternative of this rank of a finished plan, None if there is no such one."""
    job = records.get(plan) if isinstance(plan, str) else None
    if job is None or job.plan is None or isinstance(rank, bool):
        return None
    return read_plan(dict(job.plan)).alternative(rank)
