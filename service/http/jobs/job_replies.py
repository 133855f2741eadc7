"""Answers with a job, of whichever kind: where it is, how far it is, whether the wait that was asked for was given."""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from typing import Annotated, Any, Literal

from fastapi import Header, Query, Request
from fastapi.responses import JSONResponse, Response
from pydantic import BaseModel

from service.documents.jobs.job import AdviceJobDocument, JobDocument, WeekJobStateDocument, job_weldment
from service.http.guard.headers import key_given, wait_preferred
from service.http.jobs.event_stream import until_ended
from service.http.problems import HttpProblem
from service.http.writes import asked_of, key_of_its_own
from service.planning_jobs.planning_service import PlanningService, SubmissionKey
from service.records.job import PRIORITIES, Failure, Job, JobKind

Prefer = Annotated[str | None, Header(description="`wait=N`: hold the request open for up to N seconds", examples=["wait=20"])]
Urgency = Annotated[
    Literal["interactive", "batch"],
    Query(description="`interactive`: somebody waits; `batch`: taken up once nobody does"),
]
JOB_HEADERS = ("Location", "Preference-Applied", "Retry-After", "Link")
"""What an answer with a job may carry, for the reference."""
ADDRESSES: dict[JobKind, str] = {"plan": "/v1/plans", "advice": "/v1/stock/advice", "week": "/v1/weeks"}


async def answered_within(planning: PlanningService, job: Job, prefer: str | None) -> Response:
    """Answer with a job that was just taken in or told to stop: 200 if it has ended within the wait preferred, else 202."""
    wait = wait_preferred(prefer, planning.settings.wait)
    if wait is not None and job.open:
        job = await until_ended(planning, job.id, wait)
    return shown(job, wait, 202 if job.open else 200)


def shown(job: Job, wait: float | None, status: int = 200) -> Response:
    """Answer with a job; `wait` is how long was waited for it (s), None if that was not asked."""
    headers = {"Location": f"{ADDRESSES[job.kind]}/{job.id}", "Cache-Control": "no-store"}
    if wait is not None:
        headers["Preference-Applied"] = f"wait={wait:g}"
    if job.open:
        headers["Retry-After"] = "1"
    if job.kind == "plan" and job.plan is not None and job.plan["alternatives"]:
        headers["Link"] = ", ".join(_sheet_link(job.id, one["rank"]) for one in job.plan["alternatives"])
    return JSONResponse(_DOCUMENTS[job.kind](job), status, headers)


def submission_key(request: Request, key: str | None, content: bytes) -> SubmissionKey:
    """Return the key of a header with the fingerprint of what was asked under it, and who asks; raises Problem ``bad-header``."""
    given, asked = key_given(key), asked_of(request)
    own = None if given is None else key_of_its_own(given, asked)
    return SubmissionKey(own, hashlib.sha256(content).hexdigest(), asked)


def _sheet_link(id: str, rank: int) -> str:
    return f'</v1/plans/{id}/alternatives/{rank}/sheet>; rel="alternate"; title="setup sheet, rank {rank}"'


def _plan_job(job: Job) -> dict[str, Any]:
    weldment = job_weldment(job.weldment, job.weldment_version)
    document = JobDocument(**_plain(JobDocument, job), weldment=weldment, progress=None, plan=None, problem=None).plain()
    # Plan and progress are sent as they are kept: a plan has hundreds of kilobytes.
    return {**document, "progress": job.progress, "plan": job.plan, "problem": _problem(job)}


def _advice_job(job: Job) -> dict[str, Any]:
    document = AdviceJobDocument(**_plain(AdviceJobDocument, job), advice=None, problem=None).plain()
    return {**document, "advice": job.plan, "problem": _problem(job)}


def _week_job(job: Job) -> dict[str, Any]:
    document = WeekJobStateDocument(**_plain(WeekJobStateDocument, job), week=None, problem=None).plain()
    return {**document, "week": job.plan, "problem": _problem(job)}


_DOCUMENTS: dict[JobKind, Callable[[Job], dict[str, Any]]] = {"plan": _plan_job, "advice": _advice_job, "week": _week_job}


def _plain(model: type[BaseModel], job: Job) -> dict[str, Any]:
    """Return the members that a job has by the same name, and its priority's name."""
    names = set(model.model_fields) - {"format", "progress", "plan", "advice", "week", "problem", "priority", "weldment"}
    return {**{name: getattr(job, name) for name in names}, "priority": _priority(job)}


def _priority(job: Job) -> str:
    return next(name for name, number in PRIORITIES.items() if job.priority >= number)


def _problem(job: Job) -> dict[str, Any] | None:
    failure: Failure | None = job.failure
    if failure is None:
        return None
    document = HttpProblem(failure.kind, failure.detail, failure.faults).document()
    return {**document, "instance": f"{ADDRESSES[job.kind]}/{job.id}"}
