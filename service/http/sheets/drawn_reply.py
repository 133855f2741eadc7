"""Weldments and hardware drawn over HTTP: which format is asked for, drawn beside the server, kept for whoever asks again."""

from __future__ import annotations

from collections.abc import Iterable

from fastapi import Request
from fastapi.responses import Response

from inventory.errors import Fault, InvalidDocument, refuse
from inventory.limits import escaped, shown
from service.drawings.file_format import Drawn, FileFormat, Formats, by_name, installed
from service.drawings.sheets.body_orders import BodyOrder
from service.http.dependencies import Context
from service.http.guard.headers import named_by
from service.http.jobs.client_presence import while_here
from service.http.problems import HttpProblem
from service.http.reference.routes import Answers, answers
from service.http.sheets.file_name import saved_as
from service.http.sheets.negotiation import chosen

_POLICY = (
    "sandbox; default-src 'none'; style-src 'unsafe-inline'; img-src data:; font-src data:; base-uri 'none'; form-action 'none'"
)
"""For what a browser takes for a page: it runs no script, loads nothing, and has no origin whose data it could read."""
_PAGES = ("image/svg+xml", "text/html")
_BINARY = {"schema": {"type": "string", "format": "binary"}}


def page_policy(media_type: str) -> dict[str, str]:
    """Return the header that a drawing which browsers take for a page is sent with; none for other media types."""
    return {"Content-Security-Policy": _POLICY} if media_type.partition(";")[0] in _PAGES else {}


def asked_format(parameters: Iterable[tuple[str, str]], accept: str, formats: Formats[Drawn]) -> FileFormat[Drawn]:
    """Return the format that is asked for: by the parameter `format`, else by an `Accept`.

    Raises
    ------
    InvalidDocument
        With every fault of the parameters.
    Problem
        ``not-acceptable``, with the media types there are.
    """
    named: FileFormat[Drawn] | None = None
    faults: list[Fault] = []
    for name, value in parameters:
        if name != "format":
            faults.append(Fault(f"/query/{escaped(shown(name)[1:-1])}", f"there is no parameter {shown(name)} here", "format"))
        elif named is not None:
            faults.append(Fault("/query/format", "is given twice", "once at most"))
        else:
            try:
                named = by_name(formats, value)
            except InvalidDocument as bad:
                faults += [fault.under("/query/format") for fault in bad.faults]
    refuse(faults)
    found = named or chosen(accept, installed(formats))
    if found is None:
        raise not_acceptable(accept, formats)
    return found


def not_acceptable(accept: str, formats: Formats[Drawn], *others: str) -> HttpProblem:
    """Return the problem that an `Accept` names no media type there is."""
    there_is = ", ".join((*others, *(each.media_type for each in installed(formats).values())))
    fault = Fault("/header/accept", f"{shown(accept)} names no format there is", f"one of {there_is}")
    return HttpProblem("not-acceptable", "1 fault found", (fault,), headers={"Vary": "Accept"})


def drawn_answers(formats: Formats[Drawn], what: str) -> Answers:
    """Return what a route that draws answers, for its `responses`."""
    found = answers(
        200, 304, headers=("ETag", "Content-Disposition", "Vary"), problems=("not-acceptable", "conflict", "worker-died")
    )
    content = {each.media_type: _BINARY for each in installed(formats).values()}
    return {**found, 200: {**found[200], "description": what, "content": content}}


async def drawn_reply(request: Request, here: Context, order: BodyOrder, name: str, format: FileFormat[Drawn]) -> Response:
    """Answer with a drawing, or with 304 if `If-None-Match` names it."""
    key = order.key
    headers = {
        "Content-Type": format.media_type,
        "Content-Disposition": saved_as(name, format.suffix, format.media_type),
        "ETag": f'"{key}"',
        "Vary": "Accept",
        "Cache-Control": "private, no-cache",
    } | page_policy(format.media_type)
    if named_by(", ".join(request.headers.getlist("if-none-match")), key):
        return Response(status_code=304, headers={one: headers[one] for one in ("ETag", "Vary", "Cache-Control")})
    return Response(await while_here(request, here.sheets.drawn(order, key)), headers=headers)
