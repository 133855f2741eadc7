"""Problem details for HTTP (RFC 9457): one stable type each, a title, what to do, and the faults found.

A type is the relative address of its entry in the served list of problems, so it can be opened and never changes.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

from starlette.responses import JSONResponse

from inventory.errors import Fault

MEDIA_TYPE = "application/problem+json"
BASE = "/v1/problems/"


@dataclass(frozen=True, slots=True)
class Kind:
    """A kind of problem: its stable name, HTTP status and title."""

    name: str
    status: int
    title: str


KINDS: Mapping[str, Kind] = {
    kind.name: kind
    for kind in (
        Kind("malformed", 400, "The body is not a JSON document"),
        Kind("bad-header", 400, "A header cannot be read"),
        Kind("not-found", 404, "There is no such thing here"),
        Kind("method", 405, "This address does not take that method"),
        Kind("slow-body", 408, "The body took too long to arrive"),
        Kind("conflict", 409, "The job is not in a state that allows this"),
        Kind("short", 409, "Pieces are not free on those days"),
        Kind("step", 409, "The reservation is not in a state that allows this"),
        Kind("exists", 409, "There is one of that name already"),
        Kind("in-use", 409, "Others depend on it"),
        Kind("count", 409, "The count cannot be true"),
        Kind("changed", 412, "It was changed since it was read"),
        Kind("too-large", 413, "The body is too large"),
        Kind("media-type", 415, "The body is not declared as JSON"),
        Kind("match-required", 428, "The change must say which version it is based on"),
        Kind("host", 421, "This server does not answer for that host"),
        Kind("invalid", 422, "The document breaks its contract"),
        Kind("key-reused", 422, "The Idempotency-Key was used for another body"),
        Kind("internal", 500, "The server made a mistake"),
        Kind("busy", 503, "The server has no room for this now"),
        Kind("store", 503, "The store cannot be used"),
        Kind("worker-died", 500, "The solving process ended without an answer"),
        Kind("interrupted", 500, "The server ended while the job was running, too often to try again"),
    )
}


@dataclass
class Problem(Exception):
    """A refusal on its way out: the kind, what happened, the faults, extra headers, members of its own kind."""

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
        """Return the HTTP answer; `instance` names this one occurrence."""
        document = self.document() if instance is None else {**self.document(), "instance": instance}
        return JSONResponse(document, self.status, dict(self.headers), MEDIA_TYPE)


def invalid(faults: Iterable[Fault]) -> Problem:
    """Return the problem of a document that breaks its contract, with every fault."""
    found = tuple(faults)
    return Problem("invalid", f"{len(found)} fault{'s' if len(found) != 1 else ''} found", found)
