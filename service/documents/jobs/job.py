"""The job documents: how far the work is, and the plan once there is one."""

from __future__ import annotations

from datetime import datetime
from typing import Any, Literal

from pydantic import BaseModel, Field

from service.documents.problem import ProblemDocument


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
    priority: Literal["interactive", "batch"] = Field(default="interactive", description="interactive jobs are taken up first")
    answered_from: str | None = Field(
        default=None, description="the job that was solved before for the same request, stock and release, whose answer this is"
    )
    warnings: list[str] = []
    progress: dict[str, Any] | None = Field(default=None, description="the newest event: best price, bound, gap, seconds")
    plan: dict[str, Any] | None = Field(default=None, description="a holdwright.plan/1 document")
    problem: ProblemDocument | None = None


class AdviceJobDocument(BaseModel):
    """A question for advice: how far the work is, and the advice once there is some."""

    format: Literal["holdwright.advice-job/1"] = "holdwright.advice-job/1"
    id: str
    state: Literal["queued", "running", "done", "failed", "cancelled"] = Field(description="the work's state")
    created_at: datetime
    started_at: datetime | None = None
    finished_at: datetime | None = None
    attempts: int = Field(description="how often it was started; more than once if a server ended under it")
    priority: Literal["interactive", "batch"] = Field(default="interactive", description="interactive jobs are taken up first")
    advice: dict[str, Any] | None = Field(default=None, description="what to buy, and what each job costs now and then")
    problem: ProblemDocument | None = None
