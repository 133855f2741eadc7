"""What happens around every request: strange hosts refused, mistakes answered, counts, times and log, what all answers carry."""

from __future__ import annotations

import asyncio
import logging
import time
from collections.abc import Callable
from dataclasses import dataclass, field

from starlette.datastructures import Headers
from starlette.requests import ClientDisconnect, Request
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from service.http.error_handlers import mistake
from service.http.guard.body_flow import BodiesHeld, BodyFlow
from service.http.guard.headers import host_answered
from service.http.guard.methods import head_is_get
from service.http.metrics import Metrics, known_method
from service.http.problems import HttpProblem
from service.http.server.stop import HERE, RETRY_S, Stop
from service.logs.about import about_request
from service.logs.request_ids import request_id
from service.tracing import RequestSpan, Tracing

log = logging.getLogger("holdwright.http")
CALLER_LEFT = 499
"""The status an answer is counted under that nobody was there to take; not one of HTTP's own."""
ALWAYS_ANSWERED = frozenset({"/healthz", "/readyz", "/metrics"})
"""Addresses that are answered while the server stops, too."""


@dataclass(frozen=True, slots=True)
class Around:
    """What the requests of one application have around them.

    Parameters
    ----------
    header : int
        Largest header, bytes: one that arrives at a stroke is only seen here.
    log_all : bool
        Every request has its line in the log.
    numbers_too : callable
        Whether hosts that are addresses in numbers are answered, whichever they are.
    """

    metrics: Metrics
    hosts: str
    header: int
    bodies: BodiesHeld
    stop: Stop
    log_all: bool
    tracing: Tracing = field(default_factory=Tracing)
    numbers_too: Callable[[], bool] = lambda: False


@dataclass(slots=True)
class _Answer:
    """One answer on its way out; `bodiless`: HEAD, answered as GET is, without the body."""

    scope: Scope
    send: Send
    stop: Stop
    id: str
    bodiless: bool = False
    began: float = field(default_factory=time.monotonic)
    status: int = 500
    started: bool = False
    whole: bool = False

    async def pass_on(self, message: Message) -> None:
        """Send a message on, the first one with the headers that all answers carry."""
        if message["type"] == "http.response.start":
            self.status, self.started = message["status"], True
            headers = [
                *message.get("headers", []),
                (b"x-content-type-options", b"nosniff"),
                (b"referrer-policy", b"no-referrer"),
                (b"x-request-id", self.id.encode("ascii")),
            ]
            if self.stop.given and not any(name.lower() == b"connection" for name, _ in headers):
                headers.append((b"connection", b"close"))
            message["headers"] = headers
        elif message["type"] == "http.response.body":
            self.whole = not message.get("more_body", False)
            if self.bodiless:
                message = {**message, "body": b""}
        await self.send(message)


class RequestMiddleware:
    """Around every request: see the module."""

    def __init__(self, app: ASGIApp, around: Around) -> None:
        self.app, self.around = app, around

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        headers = Headers(scope=scope)
        id = request_id(headers.get("x-request-id"))
        scope.setdefault("state", {})["request_id"] = id
        bodiless = scope["method"] == "HEAD" and head_is_get(scope["app"], scope["path"])
        # The server itself looks at the scope it gave, so what is changed is a copy.
        answer = _Answer({**scope, "method": "GET"} if bodiless else scope, send, self.around.stop, id, bodiless)
        body = BodyFlow(self.around.bodies, receive)
        token = HERE.set(self.around.stop)
        try:
            with about_request(id), self.around.tracing.request(headers) as span:
                try:
                    await self._answer(answer, body)
                finally:
                    body.release()
                    self._count(answer, span)
        finally:
            HERE.reset(token)

    async def _answer(self, answer: _Answer, body: BodyFlow) -> None:
        """Have a request answered, whatever becomes of it."""

        async def send(message: Message) -> None:
            body.answer_begins()
            await answer.pass_on(message)

        async def refuse(problem: HttpProblem) -> None:
            await problem.response()(answer.scope, body.receive, send)

        request = Request(answer.scope)
        host = request.headers.get("host", "")
        try:
            if _header_bytes(answer.scope) > self.around.header:
                words = f"accepted: at most {self.around.header:,} bytes"
                await refuse(HttpProblem("large-header", words, headers={"Connection": "close"}))
            elif not host_answered(host, self.around.hosts, numbers_too=self.around.numbers_too()):
                words = f"the Host header {host!r} is not one of those answered; HOLDWRIGHT_HOSTS names them"
                await refuse(HttpProblem("host", words[:300]))
            elif self.around.stop.given and answer.scope["path"] not in ALWAYS_ANSWERED:
                await refuse(_stopping())
            else:
                await self._with_an_end(answer, body, send)
        except asyncio.CancelledError:
            task = asyncio.current_task()
            if not self.around.stop.given or answer.started or task is None:
                raise
            task.uncancel()
            await refuse(_stopping())
        except ClientDisconnect:
            answer.status = CALLER_LEFT
        except Exception as error:
            response = mistake(request, error)
            if answer.started:
                raise
            await response(answer.scope, body.receive, send)

    async def _with_an_end(self, answer: _Answer, body: BodyFlow, send: Send) -> None:
        """Have the application answer; one that still waits for a body when the server is told to stop waits no longer."""
        task = asyncio.current_task()
        watch = asyncio.ensure_future(self._cancel_if_waiting(task, body)) if task is not None else None
        try:
            await self.app(answer.scope, body.receive, send)
        finally:
            if watch is not None:
                watch.cancel()

    async def _cancel_if_waiting(self, task: asyncio.Task[None], body: BodyFlow) -> None:
        await self.around.stop.wait()
        if body.waiting:
            task.cancel()

    def _count(self, answer: _Answer, span: RequestSpan) -> None:
        scope = answer.scope
        route = getattr(scope.get("route"), "path", None)
        seconds = time.monotonic() - answer.began
        problem = scope["state"].get("problem")
        method = "HEAD" if answer.bodiless else known_method(scope["method"])
        self.around.metrics.answered(method, route, answer.status, seconds, problem)
        span.ended(method, route, answer.status)
        if self.around.log_all:
            fields = {
                "method": method,
                "path": scope["path"][:300],
                "status": answer.status,
                "ms": round(1000 * seconds, 1),
            }
            log.info("answered", extra={**fields, "route": route or "other"} | ({} if problem is None else {"problem": problem}))


def _header_bytes(scope: Scope) -> int:
    """Return the size of a request's header, the ends of its lines included."""
    fields = sum(len(name) + len(text) + 4 for name, text in scope["headers"])
    return fields + len(scope.get("raw_path") or b"") + len(scope["query_string"]) + len(scope["method"]) + 14


def _stopping() -> HttpProblem:
    return HttpProblem("stopping", "it is going down in order; ask again", headers={"Retry-After": str(RETRY_S)})
