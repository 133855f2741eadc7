"""Setup sheets: one alternative of a plan, drawn in the format that is asked for."""

from __future__ import annotations

import json
from typing import Annotated

from fastapi import APIRouter, Path, Request
from fastapi.responses import Response
from starlette.concurrency import run_in_threadpool

from inventory import limits
from service.drawings.formats import Format
from service.drawings.sheets.wanted_format import offered
from service.drawings.subject import PAPERS
from service.http.dependencies import Context, ContextHere
from service.http.guard.headers import named_by
from service.http.guard.queries import whole_number
from service.http.jobs.client_presence import while_here
from service.http.reference.routes import answers, parameter
from service.http.sheets.asked_sheet import sheet_form, sheet_order
from service.http.sheets.drawn_reply import page_policy
from service.http.sheets.file_name import disposition

router = APIRouter(prefix="/v1/plans", tags=["plans"])
_ADDRESS = "/{id}/alternatives/{rank}/sheet"
_UNCHANGED = ("ETag", "Vary", "Cache-Control")

_PARAMETERS = [
    parameter("query", "format", "the format by its name; absent = what `Accept` likes best", offered()),
    parameter("query", "paper", f"the paper it is printed on; absent = {PAPERS[0]}", PAPERS),
    parameter("header", "Accept", "media types that are welcome; among equals one to print comes first", ()),
    parameter("header", "If-None-Match", "the ETag of a sheet that is at hand: answered with 304 if it is still the same", ()),
]
_SHEET = {each.media_type: {"schema": {"type": "string", "format": "binary"}} for each in offered().values()}
_REFUSED = answers(
    200, 304, headers=("ETag", "Content-Disposition", "Vary"), problems=("not-acceptable", "conflict", "worker-died")
)
ANSWERS = {**_REFUSED, 200: {**_REFUSED[200], "description": "the sheet", "content": _SHEET}}
_RANK = whole_number(limits.RANK)
Rank = Annotated[int, *_RANK, Path(description="which of the plan's alternatives")]


@router.get(
    _ADDRESS,
    summary="The setup sheet of an alternative",
    responses=ANSWERS,
    response_class=Response,
    openapi_extra={"parameters": _PARAMETERS},
)
async def read_sheet(request: Request, id: str, rank: Rank, here: ContextHere) -> Response:
    """Return one alternative drawn in the format `format` names, else in the one `Accept` likes best.

    `If-None-Match` is answered without drawing. What was drawn lately is at hand.
    """
    return await _answer(request, here, id, rank)


@router.head(_ADDRESS, include_in_schema=False, openapi_extra={"parameters": _PARAMETERS})
async def read_sheet_headers(request: Request, id: str, rank: Rank, here: ContextHere) -> Response:
    """Return the headers of a sheet, its length if it was drawn lately; nothing is drawn for it."""
    return await _answer(request, here, id, rank)


async def _answer(request: Request, here: Context, id: str, rank: int) -> Response:
    form = sheet_form(request.query_params.multi_items(), ", ".join(request.headers.getlist("accept")))
    job = await run_in_threadpool(here.planning.job, id)
    order = await run_in_threadpool(sheet_order, here.planning, job, rank, form, str(request.base_url))
    key = order.key
    headers = _headers(key, json.loads(job.request)["weldment"].get("name", ""), rank, form.format)
    if named_by(", ".join(request.headers.getlist("if-none-match")), key):
        return Response(status_code=304, headers={name: headers[name] for name in _UNCHANGED})
    if request.method == "HEAD":
        return _without_body(here.sheets.kept(key), headers)
    return Response(await while_here(request, here.sheets.drawn(order, key)), headers=headers)


def _without_body(kept: bytes | None, headers: dict[str, str]) -> Response:
    response = Response(headers=headers)
    if kept is None:
        del response.headers["content-length"]
    else:
        response.headers["content-length"] = str(len(kept))
    return response


def _headers(key: str, weldment: str, rank: int, format: Format) -> dict[str, str]:
    headers = {
        "Content-Type": format.media_type,
        "Content-Disposition": disposition(weldment, rank, format.suffix, format.media_type),
        "ETag": f'"{key}"',
        "Vary": "Accept",
        "Cache-Control": "private, no-cache",
    }
    return headers | page_policy(format.media_type)
