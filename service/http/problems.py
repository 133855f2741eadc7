"""Problem details for HTTP (RFC 9457): one stable type each, a title, what to do, and the faults found.

A type is the relative address of its entry in the served list of problems, so it can be opened and never changes.
"""

from __future__ import annotations

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
from service.documents.stockroom.reservations import short_document
from service.logs.about import request_at_hand

MEDIA_TYPE = "application/problem+json"
BASE = "/v1/problems/"
CHALLENGE = 'Bearer realm="holdwright"'
"""What is said of the way in when a key is needed (RFC 9110, 11.6.1; RFC 6750, 3)."""


@dataclass(frozen=True, slots=True)
class ProblemKind:
    """A kind of problem: its stable name, HTTP status and title."""

    name: str
    status: int
    title: str


KINDS: Mapping[str, ProblemKind] = {
    kind.name: kind
    for kind in (
        ProblemKind("malformed", 400, "The body is not a JSON document"),
        ProblemKind("bad-header", 400, "A header cannot be read"),
        ProblemKind("no-key", 401, "A key is needed"),
        ProblemKind("role", 403, "The key's role does not allow this"),
        ProblemKind("cross-site", 403, "A page of another site asked for it"),
        ProblemKind("not-http", 400, "It is not a request as HTTP writes one"),
        ProblemKind("not-found", 404, "There is no such thing here"),
        ProblemKind("method", 405, "This address does not take that method"),
        ProblemKind("not-acceptable", 406, "It cannot be had in a form that is accepted"),
        ProblemKind("slow-body", 408, "The body took too long to arrive"),
        ProblemKind("slow-header", 408, "The header took too long to arrive"),
        ProblemKind("conflict", 409, "The job is not in a state that allows this"),
        ProblemKind("short", 409, "Pieces are not free on those days"),
        ProblemKind("step", 409, "The reservation is not in a state that allows this"),
        ProblemKind("exists", 409, "There is one of that name already"),
        ProblemKind("in-use", 409, "Others depend on it"),
        ProblemKind("count", 409, "The count cannot be true"),
        ProblemKind("webhook-off", 409, "The webhook is switched off"),
        ProblemKind("changed", 412, "It was changed since it was read"),
        ProblemKind("too-large", 413, "The body is too large"),
        ProblemKind("media-type", 415, "The body is not declared as JSON"),
        ProblemKind("match-required", 428, "The change must say which version it is based on"),
        ProblemKind("host", 421, "This server does not answer for that host"),
        ProblemKind("invalid", 422, "The document is not valid"),
        ProblemKind("key-reused", 422, "The Idempotency-Key was used for another body"),
        ProblemKind("too-many", 429, "One key or address asks for too much at a time"),
        ProblemKind("large-header", 431, "The header is too large"),
        ProblemKind("internal", 500, "The server made a mistake"),
        ProblemKind("busy", 503, "The server has no room for this now"),
        ProblemKind("store", 503, "The store cannot be used"),
        ProblemKind("stopping", 503, "The server is being stopped"),
        ProblemKind("worker-died", 500, "The solving process ended without an answer"),
        ProblemKind("interrupted", 500, "The server ended while the job was running, too often to try again"),
    )
}


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
            document["faults"] = [{"pointer": f.pointer, "wrong": f.wrong, "accepted": f.accepted} for f in self.faults]
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
    """What an error is to whoever asked over HTTP: the kind of problem, when to ask again, members of its own."""

    error: type[HoldwrightError]
    kind: str
    retry_after_s: int | None = None
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
    ErrorRow(store.StoreBusy, "busy", retry_after_s=1),
    ErrorRow(store.StoreUnusable, "store"),
    ErrorRow(jobs.KeyRefused, "no-key", headers={"WWW-Authenticate": f'{CHALLENGE}, error="invalid_token"'}),
    ErrorRow(jobs.TooManyJobs, "too-many", retry_after_s=10),
    ErrorRow(jobs.NoPlanToKeep, "conflict"),
    ErrorRow(jobs.NoPlanToAsk, "conflict"),
    ErrorRow(jobs.NoPlanToDraw, "conflict"),
    ErrorRow(jobs.StockChanged, "conflict"),
    ErrorRow(jobs.TooManySheets, "busy", retry_after_s=2),
    ErrorRow(jobs.TooManyQuestions, "busy", retry_after_s=10),
    ErrorRow(jobs.QueueFull, "busy", retry_after_s=10),
    ErrorRow(jobs.TaskOverdue, "busy"),
    ErrorRow(jobs.TaskDied, "worker-died"),
)
"""Every error a use case raises but `InvalidDocument`, which carries its faults along."""


def problem_of(error: HoldwrightError) -> HttpProblem | None:
    """Return the problem an error is for whoever asked over HTTP; None for one that nobody should have met here."""
    if isinstance(error, HttpProblem):
        return error
    if isinstance(error, InvalidDocument):
        return invalid(error.faults)
    for row in ERRORS:
        if isinstance(error, row.error):
            headers = dict(row.headers) | ({} if row.retry_after_s is None else {"Retry-After": str(row.retry_after_s)})
            return HttpProblem(row.kind, str(error), headers=headers, more=row.more(error))
    return None
