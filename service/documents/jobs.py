"""The wire shapes of the HTTP interface's own documents: a job, a re-plan, a check and its report, a problem."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict
from datetime import datetime
from typing import Any, Literal

from pydantic import BaseModel, ConfigDict, Field

from inventory.errors import Fault, InvalidDocument
from service.documents.plan_document import alternative_document
from service.documents.plan_schema.alternative import FindingDocument
from service.planning_jobs.job import Job
from solver.plans import Finding, Plan


class ProblemDocument(BaseModel):
    """A refusal (RFC 9457)."""

    type: str = Field(description="stable address of this kind of problem", examples=["/v1/problems/invalid"])
    title: str
    status: int
    detail: str
    instance: str | None = None
    faults: list[FaultDocument] = Field(default=[], description="everything found wrong with the document")


class FaultDocument(BaseModel):
    """One thing wrong with a document."""

    pointer: str = Field(description="JSON pointer (RFC 6901) to the offending value", examples=["/weldment/parts/0/length"])
    wrong: str
    accepted: str


class JobDocument(BaseModel):
    """A planning job: how far the work is, and the plan once there is one."""

    format: Literal["holdwright.job/1"] = "holdwright.job/1"
    id: str
    state: Literal["queued", "running", "done", "failed", "cancelled"] = Field(
        description="the work's state; how good the answer is, is the plan's own `status`"
    )
    created_at: datetime
    started_at: datetime | None = None
    finished_at: datetime | None = None
    attempts: int = Field(description="how often it was started; more than once if a server ended under it")
    warnings: list[str] = []
    progress: dict[str, Any] | None = Field(default=None, description="the newest progress event")
    plan: dict[str, Any] | None = Field(default=None, description="a holdwright.plan/1 document")
    problem: ProblemDocument | None = None


class ReportDocument(BaseModel):
    """What an independent re-check of a plan found."""

    format: Literal["holdwright.report/1"] = "holdwright.report/1"
    ok: bool
    findings: list[FindingDocument]


class CheckBody(BaseModel):
    """A request and the plan to be checked against it."""

    model_config = ConfigDict(extra="forbid")

    request: dict[str, Any] = Field(description="a holdwright.request/1 document")
    plan: dict[str, Any] = Field(description="a holdwright.plan/1 document")


class ReplanBody(BaseModel):
    """What has changed since a plan was made; the new plan changes as little of the kept alternative as possible."""

    model_config = ConfigDict(extra="forbid")

    rank: int = Field(default=1, ge=1, description="the alternative that stands on the table")
    without: dict[str, Any] = Field(default={}, description="`without` of the new request: missing pieces, blocked holes")
    changes: dict[str, Any] = Field(default={}, description="other members of the request to replace, such as quantity")


def job_document(job: Job, progress: Mapping[str, Any] | None = None) -> dict[str, Any]:
    """Return a job as plain JSON values; `progress` is newer than the job's own if given."""
    values = {
        name: getattr(job, name) for name in JobDocument.model_fields if name not in ("format", "progress", "plan", "problem")
    }
    document = JobDocument(**values, progress=None).model_dump(mode="json")
    return {**document, "progress": progress or job.progress, "plan": job.plan, "problem": job.problem}


def report_document(ok: bool, findings: tuple[Finding, ...]) -> dict[str, Any]:
    """Return a check's report as plain JSON values."""
    return {"format": "holdwright.report/1", "ok": ok, "findings": [asdict(finding) for finding in findings]}


def read_check(document: Any) -> tuple[dict[str, Any], dict[str, Any]]:
    """Return the request and the plan of a check's body; raises InvalidDocument."""
    faults = _shape_faults(document, required=("request", "plan"), optional=())
    if not faults:
        faults = [
            Fault(f"/{name}", "is not an object", f"a holdwright.{name}/1 document")
            for name in ("request", "plan")
            if not isinstance(document[name], dict)
        ]
    if faults:
        raise InvalidDocument(faults)
    return document["request"], document["plan"]


def replanned(request: Mapping[str, Any], plan: Plan, body: Any) -> dict[str, Any]:
    """Return the request that keeps as much as possible of one alternative under what has changed.

    Parameters
    ----------
    request : dict
        The request document the plan was made for.
    plan : Plan
        What one alternative is kept of.
    body : dict
        ``rank``, ``without``, ``changes``, all optional.

    Raises
    ------
    InvalidDocument
        With the faults of the body; those of the new request are found when it is read.
    """
    faults = _shape_faults(body, required=(), optional=("rank", "without", "changes"))
    if faults:
        raise InvalidDocument(faults)
    rank, changes = body.get("rank", 1), body.get("changes", {})
    kept = None if isinstance(rank, bool) else plan.alternative(rank)
    if kept is None:
        ranks = ", ".join(str(one.rank) for one in plan.alternatives) or "none, the plan has no alternative"
        faults.append(Fault("/rank", f"there is no alternative {rank!r}", ranks))
    if not isinstance(changes, dict):
        faults.append(Fault("/changes", "is not an object", "members of the request to replace"))
    elif fixed := [name for name in ("format", "keep", "without") if name in changes]:
        faults += [Fault(f"/changes/{name}", "cannot be changed here", "any other member of the request") for name in fixed]
    if faults or kept is None:
        raise InvalidDocument(faults)
    without = _without(request.get("without"), body.get("without", {}))
    return {**request, **changes, "without": without, "keep": alternative_document(kept)}


def _without(before: Any, now: Any) -> Any:
    """Join what was missing before and what is missing now: the larger count of an item, every hole."""
    if not isinstance(before, dict) or not isinstance(now, dict):
        return now
    merged = {**before, **now}
    if isinstance(before.get("items"), dict) and isinstance(now.get("items"), dict):
        merged["items"] = {**before["items"], **now["items"]}
    if isinstance(before.get("holes"), list) and isinstance(now.get("holes"), list):
        merged["holes"] = before["holes"] + [hole for hole in now["holes"] if hole not in before["holes"]]
    return merged


def _shape_faults(document: Any, required: tuple[str, ...], optional: tuple[str, ...]) -> list[Fault]:
    if not isinstance(document, dict):
        return [Fault("", "is not an object", "an object with " + ", ".join(required + optional))]
    unknown = [name for name in document if name not in required + optional]
    missing = [name for name in required if name not in document]
    accepted = ", ".join(required + optional)
    return [Fault(f"/{name.replace('~', '~0').replace('/', '~1')}", "is not known here", accepted) for name in unknown] + [
        Fault(f"/{name}", "is missing", f"a holdwright.{name}/1 document") for name in missing
    ]
