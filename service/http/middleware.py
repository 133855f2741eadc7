"""What happens around every request: strange hosts refused, counts and times, the headers all answers carry."""

from __future__ import annotations

import time

from starlette.requests import Request
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from service.access.authentication import Authentication
from service.http.guard.headers import host_answered
from service.http.metrics import Metrics
from service.http.problems import HttpProblem


class RequestMiddleware:
    """Around every request: refuses strange hosts, counts and times, adds the headers all answers carry."""

    def __init__(self, app: ASGIApp, metrics: Metrics, hosts: str, authentication: Authentication) -> None:
        self.app, self.metrics, self.hosts, self.authentication = app, metrics, hosts, authentication

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        began, status = time.monotonic(), 500

        async def answer(message: Message) -> None:
            nonlocal status
            if message["type"] == "http.response.start":
                status = message["status"]
                headers = message.get("headers", [])
                message["headers"] = [*headers, (b"x-content-type-options", b"nosniff"), (b"referrer-policy", b"no-referrer")]
            await send(message)

        try:
            host = Request(scope).headers.get("host", "")
            if host_answered(host, self.hosts, numbers_too=self.authentication.required):
                await self.app(scope, receive, answer)
            else:
                refusal = HttpProblem(
                    "host", f"the Host header {host!r} is not one of those answered; HOLDWRIGHT_HOSTS names them"[:300]
                )
                await refusal.response()(scope, receive, answer)
        finally:
            route = getattr(scope.get("route"), "path", "other")
            labels = {"method": scope["method"] if route != "other" else "other", "route": route}
            self.metrics.count("holdwright_requests_total", "answers, by route and status", status=str(status), **labels)
            self.metrics.observe("holdwright_request_seconds", "time to answer", time.monotonic() - began, route=route)
