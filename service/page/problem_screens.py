"""Problems as screens: whoever opened a page and was refused is told so in words, and led to where it can go on."""

from __future__ import annotations

import json
from typing import Any
from urllib.parse import quote

from starlette.requests import Request
from starlette.responses import HTMLResponse, RedirectResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from service.http.problems import MEDIA_TYPE
from service.http.reference.problem_kinds import KINDS
from service.page.frame import HEADERS, is_fragment, rendered

_FOR_PROGRAMS = ("/v1/", "/healthz", "/readyz", "/metrics", "/openapi.json", "/static/")
_LONGEST = 1_000_000


class ProblemScreens:
    """Around the application: where a page was asked for and a problem is the answer, a screen takes the problem's place."""

    def __init__(self, app: ASGIApp) -> None:
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http" or scope["path"].startswith(_FOR_PROGRAMS) or not _reads_pages(scope):
            await self.app(scope, receive, send)
            return
        held: list[Message] = []

        async def hold(message: Message) -> None:
            if message["type"] == "http.response.start" and _is_problem(message):
                held.append(message)
            elif held:
                held.append(message)
                if not message.get("more_body", False):
                    await _screen(scope, held)(scope, receive, send)
            else:
                await send(message)

        await self.app(scope, receive, hold)


def _reads_pages(scope: Scope) -> bool:
    headers = {name: value.decode("latin-1") for name, value in scope["headers"]}
    return b"hx-request" in headers or "text/html" in headers.get(b"accept", "")


def _is_problem(start: Message) -> bool:
    return any(name.lower() == b"content-type" and value.startswith(MEDIA_TYPE.encode()) for name, value in start["headers"])


def _screen(scope: Scope, held: list[Message]) -> Response:
    start, *bodies = held
    problem: dict[str, Any] = json.loads(b"".join(message.get("body", b"") for message in bodies)[:_LONGEST])
    request = Request({**scope, "state": {**scope.get("state", {})}})
    request.state.caller = getattr(request.state, "caller", None)
    kind = KINDS[problem["type"].rpartition("/")[2]]
    if kind.name == "no-key":
        return _to_sign_in(request)
    values = {"problem": problem, "kind": kind}
    kept = {
        name.decode("latin-1"): value.decode("latin-1")
        for name, value in start["headers"]
        if name.lower() in (b"retry-after", b"allow", b"x-request-id", b"connection")
    }
    if is_fragment(request):
        headers = {**HEADERS, **kept, "HX-Retarget": "#problems", "HX-Reswap": "innerHTML"}
        return HTMLResponse(rendered(request, "problem.html", values, "told"), start["status"], headers)
    return HTMLResponse(rendered(request, "problem.html", values), start["status"], {**HEADERS, **kept})


def _to_sign_in(request: Request) -> Response:
    """Lead whoever must sign in to where that is done, and from there back to a page it wanted to look at."""
    back = request.url.path + (f"?{request.url.query}" if request.url.query else "")
    wanted = back if request.method == "GET" and not is_fragment(request) else "/"
    address = f"/sign-in?next={quote(wanted, safe='')}"
    if is_fragment(request):
        return Response(status_code=204, headers={"HX-Redirect": address, **HEADERS})
    return RedirectResponse(address, 303, HEADERS)
