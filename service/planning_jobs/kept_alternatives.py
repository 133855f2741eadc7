"""The alternative a request's `keep` names by plan and rank, looked up among the jobs' plans."""

from __future__ import annotations

from typing import Any

from inventory.errors import Fault
from service.planning_jobs.records import JobRecords


def named_alternative(records: JobRecords, plan: Any, rank: Any) -> dict[str, Any] | None:
    """Return the alternative of this rank of a finished plan, None if there is no such one."""
    job = records.get(plan) if isinstance(plan, str) else None
    if job is None or job.plan is None or isinstance(rank, bool):
        return None
    return next((one for one in job.plan["alternatives"] if one["rank"] == rank), None)


def no_such_alternative(plan: Any, rank: Any) -> Fault:
    """Return the fault of a `keep` that names nothing."""
    named = f"plan {plan!r}, rank {rank!r}"[:150]
    accepted = "a finished plan of this store and one of its ranks, or an alternative in full"
    return Fault("/keep", f"there is no alternative {named}", accepted)
