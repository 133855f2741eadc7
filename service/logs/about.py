"""What log lines are about: the request and the job being worked on, wherever a line is written meanwhile."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar

_REQUEST: ContextVar[str | None] = ContextVar("request", default=None)
_JOB: ContextVar[str | None] = ContextVar("job", default=None)


@contextmanager
def about_request(id: str) -> Iterator[None]:
    """Have every line written meanwhile carry a request's id, threads that are asked to help included."""
    token = _REQUEST.set(id)
    try:
        yield
    finally:
        _REQUEST.reset(token)


@contextmanager
def about_job(id: str) -> Iterator[None]:
    """Have every line written meanwhile carry a job's id."""
    token = _JOB.set(id)
    try:
        yield
    finally:
        _JOB.reset(token)


def request_at_hand() -> str | None:
    """Return the id of the request that is being answered, None outside of requests."""
    return _REQUEST.get()


def at_hand() -> dict[str, str]:
    """Return what is being worked on, as fields of a log line."""
    return {name: id for name, id in (("request_id", _REQUEST.get()), ("job", _JOB.get())) if id is not None}
