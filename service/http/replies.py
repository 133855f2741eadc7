"""Answers with a document: their status and headers."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any

from starlette.concurrency import run_in_threadpool
from starlette.responses import JSONResponse, Response


@dataclass(frozen=True, slots=True)
class Reply:
    """Status, document and headers of an answer."""

    document: Mapping[str, Any] | None
    status: int = 200
    headers: Mapping[str, str] = field(default_factory=dict)

    @classmethod
    def of_version(cls, document: Mapping[str, Any], version: int, status: int = 200, location: str | None = None) -> Reply:
        """Return an answer whose ETag is the version of what it shows."""
        headers = {"ETag": f'"{version}"'}
        return cls(document, status, headers if location is None else {**headers, "Location": location})


async def answered(act: Callable[[], Reply]) -> Response:
    """Answer with a reply that is worked out beside the event loop."""
    reply = await run_in_threadpool(act)
    headers = {"Cache-Control": "no-store", **reply.headers}
    if reply.document is None:
        return Response(status_code=reply.status, headers=headers)
    return JSONResponse(reply.document, reply.status, headers)
