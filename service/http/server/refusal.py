"""Refusals of what never became a request: written to the connection as they are, without the application."""

from __future__ import annotations

import json
from http import HTTPStatus

from service.http.problems import MEDIA_TYPE, HttpProblem
from service.logs.request_ids import new_request_id


def refusal_bytes(problem: HttpProblem) -> bytes:
    """Return a whole HTTP/1.1 answer with a problem; the connection ends with it."""
    id = new_request_id()
    content = json.dumps({**problem.document(), "request_id": id}, ensure_ascii=False).encode()
    headers = {
        "Content-Type": MEDIA_TYPE,
        "Content-Length": str(len(content)),
        "Connection": "close",
        "X-Request-Id": id,
        "X-Content-Type-Options": "nosniff",
        "Referrer-Policy": "no-referrer",
        **problem.headers,
    }
    lines = [
        f"HTTP/1.1 {problem.status} {HTTPStatus(problem.status).phrase}",
        *(f"{name}: {text}" for name, text in headers.items()),
    ]
    return "\r\n".join([*lines, "", ""]).encode("latin-1") + content
