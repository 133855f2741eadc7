"""Weldments drawn: a document in, solid bodies or views out."""

from __future__ import annotations

from fastapi import APIRouter, Request
from fastapi.responses import Response
from starlette.concurrency import run_in_threadpool

from service.documents.weldment import read_weldment
from service.drawings.file_format import installed
from service.drawings.sheets.body_orders import WeldmentOrder
from service.drawings.weldment.weldment_formats import WELDMENT_FORMATS
from service.http.dependencies import ContextHere
from service.http.guard.body import read_body
from service.http.reference.routes import accepts, parameter
from service.http.sheets.drawn_reply import asked_format, drawn_answers, drawn_reply

router = APIRouter(prefix="/v1/weldments", tags=["weldments"])
_PARAMETERS = [
    parameter("query", "format", "the format by its name; absent = what `Accept` likes best", installed(WELDMENT_FORMATS)),
    parameter("header", "Accept", "media types that are welcome; among equals the first of those listed below", ()),
]


@router.post(
    "/drawing",
    summary="Draw a weldment",
    responses=drawn_answers(WELDMENT_FORMATS, "the drawing"),
    response_class=Response,
    openapi_extra={"parameters": _PARAMETERS, **accepts("weldment")},
)
async def draw_weldment(request: Request, here: ContextHere) -> Response:
    """Return a weldment as solid bodies with true arcs (STEP), three views (SVG; DXF with plates flat) or for viewers (GLB).

    Nothing is kept of it but the drawing, for whoever asks again.
    """
    format = asked_format(request.query_params.multi_items(), ", ".join(request.headers.getlist("accept")), WELDMENT_FORMATS)
    raw = await read_body(request, here.planning.settings)
    weldment = await run_in_threadpool(read_weldment, raw)
    return await drawn_reply(request, here, WeldmentOrder((raw.decode("utf-8-sig"),), format.name), weldment.name, format)
