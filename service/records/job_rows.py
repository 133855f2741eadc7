"""Rows of the table of jobs as values."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from inventory.errors import Fault
from service.records.job import Failure, Job


def job_of(row: Any) -> Job:
    """Return the job of a whole row."""
    values = {name: getattr(row, name) for name in Job.__dataclass_fields__}
    return Job(**{**values, "warnings": tuple(row.warnings), "failure": _failure(row.failure)})


def status_of(plan: Mapping[str, Any] | None) -> str | None:
    """Return the status of a plan document; advice has none."""
    return None if plan is None else plan.get("status")


def _failure(stored: Mapping[str, Any] | None) -> Failure | None:
    if stored is None:
        return None
    return Failure(stored["kind"], stored["detail"], tuple(Fault(**fault) for fault in stored["faults"]))
