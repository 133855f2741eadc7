"""The job document: how far the work is, and the plan once there is one; and lists of jobs."""

from __future__ import annotations

from datetime import datetime
from typing import Annotated, Any, Literal

from pydantic import Field

from service.documents.answers.answer import Answer, Kept
from service.documents.answers.catalogue import Next
from service.documents.plan_schema.plan import PlanDocument
from service.documents.problem import ProblemDocument
from service.documents.stockroom.advice import AdviceDocument
from service.documents.stockroom.days import GivenDays
from service.documents.week.answer import WeekPlanDocument
from solver.plans import Status

JobState = Annotated[
    Literal["queued", "running", "done", "failed", "cancelled"],
    Field(description="the work's state; how good the answer is, is the plan's own `status`"),
]
StartedAt = Annotated[datetime | None, Field(description="null before it is started")]
FinishedAt = Annotated[datetime | None, Field(description="null before it has ended")]
Urgency = Annotated[Literal["interactive", "batch"], Field(description="interactive jobs are taken up first")]
AnsweredFrom = Annotated[
    str | None,
    Field(description="the job that was solved before for the same request, stock and release, whose answer this is, if any"),
]


class JobWeldmentDocument(Answer):
    """The stored weldment a job is for."""

    id: str
    version: int


JobWeldment = Annotated[
    JobWeldmentDocument | None, Field(description="the stored weldment its request names; null if it has one of its own")
]
Attempts = Annotated[int, Field(description="how often it was started; more than once if a server ended under it")]


class ProgressDocument(Answer):
    """How far a search is."""

    elapsed_s: Annotated[float, Field(description="seconds since solving began")]
    incumbent_cents: Annotated[int | None, Field(description="price of the best plan so far, cents; null before the first one")]
    bound_cents: Annotated[int | None, Field(description="no plan can cost less, as far as proved by then, cents")]
    gap: Annotated[float | None, Field(description="(incumbent - bound) / incumbent, null before both are known")]
    alternatives: Annotated[int, Field(description="how many there are so far")]
    positions_tried: Annotated[int, Field(description="lattice positions tried")]
    positions: Annotated[int, Field(description="lattice positions there are so far")]


class JobStateDocument(Answer):
    """How far the work on a job is, whatever its answer is."""

    format: str
    id: str
    state: JobState
    created_at: datetime
    started_at: StartedAt
    finished_at: FinishedAt
    attempts: Attempts
    priority: Urgency
    problem: Annotated[ProblemDocument | None, Field(description="what went wrong, null if nothing did")]


class JobDocument(JobStateDocument):
    """A planning job: how far the work is, and the plan once there is one."""

    format: Literal["holdwright.job/1"] = "holdwright.job/1"
    weldment: JobWeldment
    answered_from: AnsweredFrom
    warnings: list[str]
    progress: Annotated[dict[str, Any], Kept(ProgressDocument)] | None
    plan: Annotated[dict[str, Any], Kept(PlanDocument)] | None


class AdviceJobDocument(JobStateDocument):
    """A question for advice: how far the work is, and the advice once there is some."""

    format: Literal["holdwright.advice-job/1"] = "holdwright.advice-job/1"
    advice: Annotated[dict[str, Any], Kept(AdviceDocument)] | None


class WeekJobStateDocument(JobStateDocument):
    """A week that was asked for: how far the work is, and the planned week once there is one."""

    format: Literal["holdwright.week-job/1"] = "holdwright.week-job/1"
    week: Annotated[dict[str, Any], Kept(WeekPlanDocument)] | None


class JobSummaryDocument(Answer):
    """A job in a list: its figures, without its request and its plan."""

    id: str
    kind: Annotated[str, Field(description="what its answer is")]
    name: Annotated[str, Field(description="the weldment's name")]
    weldment: JobWeldment
    state: JobState
    status: Annotated[Status | None, Field(description="how far its plan is proved; null while there is none")]
    quantity: Annotated[int | None, Field(description="how many weldments are asked for; null for advice")]
    needed: Annotated[GivenDays | None, Field(description="days the hardware is needed on; null if the request names none")]
    total_cents: Annotated[int | None, Field(description="price of its best alternative, cents; null while there is none")]
    gap: Annotated[
        float | None, Field(description="how much cheaper an answer could still be, as a share of that; null while none is")
    ]
    pieces_short: Annotated[
        int | None,
        Field(description="pieces its best alternative buys or, where there is no plan, the cheapest repair that buys; or null"),
    ]
    created_at: datetime
    started_at: StartedAt
    finished_at: FinishedAt
    attempts: Attempts


def job_weldment(id: str | None, version: int | None) -> JobWeldmentDocument | None:
    """Return the stored weldment a job is for, None if it has one of its own."""
    return None if id is None or version is None else JobWeldmentDocument(id=id, version=version)


class JobPageDocument(Answer):
    """A page of jobs, newest first."""

    jobs: list[JobSummaryDocument]
    next: Next
