"""Problem details for HTTP (RFC 9457): one stable type each, a title, what to do, and the faults found.

A type is the relative address of its entry in the served list of problems, so it can be opened and never changes. What each kind
means stands in `reference/problem_kinds.py`.
"""

from __future__ import annotations

import logging
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

from starlette.responses import JSONResponse
from starlette.types import Receive, Scope, Send

from inventory.availability import Shortage
from inventory.errors import Fault, HoldwrightError, InvalidDocument
from inventory.reservations import IllegalStep
from inventory.store import errors as store
from service import errors as jobs
from service.documents.stockroom.shortage import short_document
from service.http.reference.problem_kinds import KINDS
from service.logs.about import request_at_hand

log = logging.getLogger("holdwright")
MEDIA_TYPE = "application/problem+json"
BASE = "/v1/problems/"
CHALLENGE = 'Bearer realm="holdwright"'
"""What is said of the way in when a key is needed (RFC 9110, 11.6.1; RFC 6750, 3)."""


MOST_FAULTS = 100
"""Faults listed in one answer; of more, the number. A small body can hold very many, each with its words."""


@dataclass
class HttpProblem(HoldwrightError):
    """A refusal on its way out: the kind, what happened, the faults, extra headers, members of its own kind.

    Raised for what HTTP refuses by itself; what a use case refuses becomes one by `ERRORS`.
    """

    kind: str
    detail: str
    faults: tuple[Fault, ...] = ()
    headers: Mapping[str, str] = field(default_factory=dict)
    more: Mapping[str, Any] = field(default_factory=dict)

    @property
    def status(self) -> int:
        """The HTTP status."""
        return KINDS[self.kind].status

    def document(self) -> dict[str, Any]:
        """Return the problem document."""
        kind = KINDS[self.kind]
        document: dict[str, Any] = {"type": BASE + kind.name, "title": kind.title, "status": kind.status, "detail": self.detail}
        if self.faults:
            listed = self.faults[:MOST_FAULTS]
            document["faults"] = [{"pointer": f.pointer, "wrong": f.wrong, "accepted": f.accepted} for f in listed]
            if len(self.faults) > MOST_FAULTS:
                document["faults_total"] = len(self.faults)
        return document | dict(self.more)

    def response(self, instance: str | None = None) -> JSONResponse:
        """Return the HTTP answer, with the id of the request it answers; `instance` names this one occurrence."""
        document = self.document() if instance is None else {**self.document(), "instance": instance}
        request_id = request_at_hand()
        if request_id is not None:
            document["request_id"] = request_id
        return ProblemAnswer(self.kind, document, dict(self.headers))


class ProblemAnswer(JSONResponse):
    """A problem as an answer, which leaves its kind beside the request for whoever counts."""

    def __init__(self, kind: str, document: Mapping[str, Any], headers: Mapping[str, str]) -> None:
        super().__init__(document, KINDS[kind].status, headers, MEDIA_TYPE)
        self.kind = kind

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer."""
        scope.setdefault("state", {})["problem"] = self.kind
        await super().__call__(scope, receive, send)


def invalid(faults: Iterable[Fault]) -> HttpProblem:
    """Return the problem of a document that is not valid, with every fault."""
    found = tuple(faults)
    return HttpProblem("invalid", f"{len(found)} fault{'s' if len(found) != 1 else ''} found", found)


@dataclass(frozen=True, slots=True)
class ErrorRow:
    """What an error is to whoever asked over HTTP: the kind of problem, when to ask again, members of its own.

    `says` stands in place of the error's own words where those name what is behind the door: addresses, files, users. The log has
    them.
    """

    error: type[HoldwrightError]
    kind: str
    retry_after_s: int | None = None
    says: str | None = None
    more: Callable[[Any], Mapping[str, Any]] = lambda error: {}
    headers: Mapping[str, str] = field(default_factory=dict)


ERRORS: tuple[ErrorRow, ...] = (
    ErrorRow(Shortage, "short", more=lambda error: {"short": [short_document(line) for line in error.lines]}),
    ErrorRow(IllegalStep, "step", more=lambda error: {"state": error.state, "allowed": list(error.legal)}),
    ErrorRow(store.NotFound, "not-found"),
    ErrorRow(store.AlreadyThere, "exists"),
    ErrorRow(store.InUse, "in-use"),
    ErrorRow(store.Stale, "changed"),
    ErrorRow(store.KeyReused, "key-reused"),
    ErrorRow(store.CountRefused, "count"),
    ErrorRow(jobs.WebhookOff, "webhook-off"),
    ErrorRow(store.StoreBusy, "busy", retry_after_s=1, says="others hold the store; nothing was changed"),
    ErrorRow(store.ReadOnlyStore, "store", says="the store cannot be written"),
    ErrorRow(store.FileGone, "store", says="the store is gone from its place; nothing is written"),
    ErrorRow(store.DiskFull, "store", says="the store has no room left; nothing of this was kept"),
    ErrorRow(store.WrongSchema, "store", says="the store is none that this release can use"),
    ErrorRow(store.Unreachable, "store", says="the store cannot be reached"),
    ErrorRow(store.StoreUnusable, "store", says="the store cannot be used"),
    ErrorRow(jobs.KeyRefused, "no-key", headers={"WWW-Authenticate": f'{CHALLENGE}, error="invalid_token"'}),
    ErrorRow(jobs.TooManyJobs, "too-many", retry_after_s=10),
    ErrorRow(jobs.NoPlanToKeep, "conflict"),
    ErrorRow(jobs.WeekPromised, "conflict"),
    ErrorRow(jobs.NoPlanToAsk, "conflict"),
    ErrorRow(jobs.NoScore, "conflict"),
    ErrorRow(jobs.NoPlanToDraw, "conflict"),
    ErrorRow(jobs.NoPlanToTime, "conflict"),
    ErrorRow(jobs.StockChanged, "conflict"),
    ErrorRow(jobs.Stopping, "busy", retry_after_s=5),
    ErrorRow(jobs.TooManyDocuments, "busy", retry_after_s=5),
    ErrorRow(jobs.TooManySheets, "busy", retry_after_s=2),
    ErrorRow(jobs.TooManyFiles, "busy", retry_after_s=5),
    ErrorRow(jobs.TooManyQuestions, "busy", retry_after_s=10),
    ErrorRow(jobs.QueueFull, "busy", retry_after_s=10),
    ErrorRow(jobs.TaskOverdue, "busy", retry_after_s=10),
    ErrorRow(jobs.TaskDied, "worker-died"),
)
"""Every error a use case raises but `InvalidDocument`, which carries its faults along."""


def problem_of(error: HoldwrightError) -> HttpProblem | None:
    """Return the problem an error is for whoever asked over HTTP; None for one that nobody should have met here."""
    if isinstance(error, HttpProblem):
        return error
    if isinstance(error, jobs.MalformedText):
        return HttpProblem("malformed", error.faults[0].wrong, error.faults)
    if isinstance(error, InvalidDocument):
        return invalid(error.faults)
    for row in ERRORS:
        if isinstance(error, row.error):
            headers = dict(row.headers) | ({} if row.retry_after_s is None else {"Retry-After": str(row.retry_after_s)})
            if row.says is not None:
                log.warning("%s: %s", type(error).__name__, error)
            return HttpProblem(row.kind, row.says or str(error), headers=headers, more=row.more(error))
    return None
