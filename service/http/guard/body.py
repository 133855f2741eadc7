"""The body of one HTTP request, taken in no further than its limits allow."""

from __future__ import annotations

import asyncio
import re
from typing import Any

from starlette.requests import Request

from inventory.errors import InvalidDocument
from service.documents.reading.text import read_text
from service.http.problems import HttpProblem
from service.settings import Settings

JSON = "application/json"
CSV = "text/csv"
FORM = "application/x-www-form-urlencoded"
MULTIPART = "multipart/form-data"
_ALSO = {
    CSV: ("application/octet-stream",),
    MULTIPART: ("model/step", "application/step", "image/vnd.dxf", CSV, "application/octet-stream"),
}
"""What a body may be declared as besides: programs that know of no CSV send bytes; a file may be sent without a form round it."""
_CHARSETS = {
    JSON: ("utf-8", "utf8", "us-ascii"),
    FORM: ("utf-8", "utf8"),
    CSV: ("utf-8", "utf8", "us-ascii", "utf-16", "utf-16le", "utf-16be"),
    MULTIPART: ("utf-8", "utf8", "us-ascii", "utf-16", "utf-16le", "utf-16be", "iso-8859-1", "windows-1252"),
}
_CHARSET = re.compile(r';\s*charset\s*=\s*"?([^";\s]*)', re.IGNORECASE)


async def read_body(
    request: Request, settings: Settings, empty_allowed: bool = False, media: str = JSON, most: int = 0
) -> bytes:  # fmt: skip
    """Return the body, which must declare itself JSON, or whatever `media` says.

    `most` bytes are accepted where that is more than the settings allow any body.

    Raises
    ------
    Problem
        ``media-type``, ``too-large``, ``slow-body``.
    """
    _refuse_foreign(request, empty_allowed, media)
    if request.headers.get("content-encoding", "identity").strip().lower() != "identity":
        raise HttpProblem("media-type", "compressed bodies are not read; accepted: no Content-Encoding")
    length, most = request.headers.get("content-length", ""), max(most, settings.body)
    if length.isdecimal() and int(length[:20]) > most:
        raise _too_large(most)
    try:
        async with asyncio.timeout(settings.body_time):
            content = bytearray()
            async for chunk in request.stream():
                content += chunk
                if len(content) > most:
                    raise _too_large(most)
    except TimeoutError:
        raise HttpProblem(
            "slow-body", f"no more than {settings.body_time:g} s are waited for a body", headers={"Connection": "close"}
        ) from None
    return bytes(content)


def _refuse_foreign(request: Request, empty_allowed: bool, media: str) -> None:
    """Refuse a body that is declared as something else than it must be; raises Problem ``media-type``."""
    given = request.headers.get("content-type", "")
    declared = given.partition(";")[0].strip().lower()
    alike = media == JSON and declared.startswith("application/") and declared.endswith("+json")
    accepted = {"Accept": ", ".join((media, *_ALSO.get(media, ())))}
    if not (declared == media or alike or declared in _ALSO.get(media, ())):
        absent = not declared and request.headers.get("content-length", "0") == "0" and "transfer-encoding" not in request.headers
        if not (empty_allowed and absent):
            wrong = f"Content-Type is {declared or 'not given'}; accepted: {accepted['Accept']}"
            raise HttpProblem("media-type", wrong[:300], headers=accepted)
    charset = _CHARSET.search(given)
    if charset is not None and charset[1].lower() not in _CHARSETS[media]:
        wrong = f"the charset {charset[1]!r} is not read; accepted: {_CHARSETS[media][0]}"
        raise HttpProblem("media-type", wrong[:300], headers=accepted)


def opened(raw: bytes) -> Any:
    """Return a body's plain values, or the body itself where its text has faults that reading will name beside all others.

    Raises
    ------
    Problem
        ``malformed`` if it is no JSON text at all.
    """
    try:
        text = read_text(raw, len(raw))
    except InvalidDocument as bad:
        raise HttpProblem("malformed", bad.faults[0].wrong, bad.faults) from None
    return raw if text.faults else text.values


def sound(raw: bytes) -> Any:
    """Return a body's plain values; raises Problem ``malformed``, InvalidDocument if its text has faults."""
    values = opened(raw)
    if isinstance(values, bytes):
        raise InvalidDocument(read_text(raw, len(raw)).faults)
    return values


def _too_large(most: int) -> HttpProblem:
    # The rest of the body is left unread, so the connection cannot carry another request.
    return HttpProblem("too-large", f"accepted: at most {most:,} bytes", headers={"Connection": "close"})
