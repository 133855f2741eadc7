"""A planning job as a value, and the states of its life.

    queued ──> running ──> done
      │           ├──────> failed
      │           └──────> cancelled   (keeps the best plan so far)
      ├─────────────────> cancelled
      └<── running            (its server stops in order, or was not heard of for a lease)

The job's state says how far the work is; how good the answer is says the plan's own `status`.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any, Literal

from inventory.errors import Fault
from service.records.job_figures import AnswerFigures, AskedFigures
from solver.plans import Status

State = Literal["queued", "running", "done", "failed", "cancelled"]
STATES: tuple[State, ...] = ("queued", "running", "done", "failed", "cancelled")
OPEN: tuple[State, ...] = ("queued", "running")
JobKind = Literal["plan", "advice", "week"]
Priority = Literal["interactive", "batch"]
PRIORITIES: Mapping[Priority, int] = {"interactive": 10, "batch": 0}
"""The larger number is taken up first."""
FailureKind = Literal["invalid", "interrupted", "worker-died", "internal"]


@dataclass(frozen=True, slots=True)
class Failure:
    """Why a job has no answer, or not the answer it could have had.

    Parameters
    ----------
    kind : str
        ``invalid``: the request no longer fits the stock; ``interrupted``: the processes that ran it ended, too often to try
        again; ``worker-died``: the solving process ended; ``internal``: the planner raised.
    """

    kind: FailureKind
    detail: str
    faults: tuple[Fault, ...] = ()


@dataclass(frozen=True, slots=True)
class Job:
    """One planning job.

    Parameters
    ----------
    request : str
        The request document as it was accepted, JSON text.
    attempts : int
        How often it was started; more than once only if a server died under it.
    cancel_asked : bool
        Somebody wants it to stop and keep its best plan so far.
    plan, failure : dict or None, Failure or None
        The plan document, or the advice of a job of that kind, or what went wrong; both None while the job is open.
    kind : str
        What its answer is.
    priority : int
        The larger one is taken up first.
    name : str
        The weldment's.
    content : str or None
        Fingerprint of all its answer depends on, once it is known.
    asked_by : str or None
        Id of the API key it was asked for by.
    quote : str or None
        The quote it is planned for.
    answered_from : str or None
        The job whose answer it is, if it was not solved for itself.
    weldment, weldment_version : str or None, int or None
        The stored weldment it is for, if its request names one.
    """

    id: str
    state: State
    created_at: datetime
    request: str
    warnings: tuple[str, ...] = ()
    attempts: int = 0
    cancel_asked: bool = False
    started_at: datetime | None = None
    finished_at: datetime | None = None
    plan: Mapping[str, Any] | None = None
    failure: Failure | None = None
    progress: Mapping[str, Any] | None = None
    kind: JobKind = "plan"
    priority: int = PRIORITIES["interactive"]
    name: str = ""
    content: str | None = None
    answered_from: str | None = None
    asked_by: str | None = None
    quote: str | None = None
    weldment: str | None = None
    weldment_version: int | None = None

    @property
    def open(self) -> bool:
        """Whether an answer is still to come."""
        return self.state in OPEN


@dataclass(frozen=True, slots=True)
class JobSummary:
    """A job without its request and its plan, but with their figures.

    `name` is the weldment's, `status` the plan's; `progress` is the last event of a job that runs or has run.
    """

    id: str
    kind: str
    name: str
    state: State
    status: Status | None
    created_at: datetime
    started_at: datetime | None
    finished_at: datetime | None
    attempts: int
    cancel_asked: bool
    progress: Mapping[str, Any] | None
    asked: AskedFigures
    answer: AnswerFigures
    weldment: str | None = None
    weldment_version: int | None = None

    @property
    def open(self) -> bool:
        """Whether an answer is still to come."""
        return self.state in OPEN

    @property
    def place(self) -> str:
        """Where it stands among all jobs, newest first: its moment, and its id where two are at one."""
        return f"{self.created_at.isoformat()} {self.id}"


@dataclass(frozen=True, slots=True)
class WantedJobs:
    """Which jobs to look for; everything not named is left open. `name`: part of the weldment's, in any case."""

    states: tuple[State, ...] = ()
    status: Status | None = None
    kind: str | None = None
    name: str | None = None
    since: datetime | None = None
    until: datetime | None = None
