"""What happens around every request: strange hosts refused, counts and times, the headers all answers carry, our mistakes."""

from __future__ import annotations

import time

from starlette.requests import ClientDisconnect, Request
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from service.access.authentication import Authentication
from service.http.error_handlers import mistake
from service.http.guard.headers import host_answered
from service.http.guard.methods import head_is_get
from service.http.metrics import Metrics
from service.http.problems import HttpProblem

_LEFT = "left"
"""Counted in the place of a status where the client went away before it had sent everything."""


class RequestMiddleware:
    """Around every request: refuses strange hosts, counts and times, adds the headers all answers carry, answers our mistakes.

    HEAD is answered as GET is, without the body, where a route has no HEAD of its own.
    """

    def __init__(self, app: ASGIApp, metrics: Metrics, hosts: str, authentication: Authentication) -> None:
        self.app, self.metrics, self.hosts, self.authentication = app, metrics, hosts, authentication

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        began, status, started = time.monotonic(), "500", False
        bodiless = scope["method"] == "HEAD" and head_is_get(scope["app"], scope["path"])
        # The server itself looks at the scope it gave, so what is changed is a copy.
        inner = {**scope, "method": "GET"} if bodiless else scope

        async def answer(message: Message) -> None:
            nonlocal status, started
            if message["type"] == "http.response.start":
                status, started = str(message["status"]), True
                headers = message.get("headers", [])
                message["headers"] = [*headers, (b"x-content-type-options", b"nosniff"), (b"referrer-policy", b"no-referrer")]
            elif bodiless:
                message = {**message, "body": b""}
            await send(message)

        try:
            host = Request(scope).headers.get("host", "")
            if host_answered(host, self.hosts, numbers_too=self.authentication.required):
                await self.app(inner, receive, answer)
            else:
                refusal = HttpProblem(
                    "host", f"the Host header {host!r} is not one of those answered; HOLDWRIGHT_HOSTS names them"[:300]
                )
                await refusal.response()(inner, receive, answer)
        except ClientDisconnect:
            status = _LEFT
        except Exception as error:
            response = mistake(Request(scope), error)
            if started:  # what was sent cannot be taken back: the connection is cut, so that nobody takes it for the whole
                raise
            await response(inner, receive, answer)
        finally:
            route = getattr(inner.get("route"), "path", "other")
            labels = {"method": scope["method"] if route != "other" else "other", "route": route}
            self.metrics.count("holdwright_requests_total", "answers, by route and status", status=status, **labels)
            self.metrics.observe("holdwright_request_seconds", "time to answer", time.monotonic() - began, route=route)
