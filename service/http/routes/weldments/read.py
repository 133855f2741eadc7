"""Weldments read from files of other programs."""

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter, Query, Request
from fastapi.responses import Response

from service.documents.weldment_files.reading_model import ReadingDocument
from service.http.dependencies import ContextHere
from service.http.guard.body import JSON, MULTIPART, read_body
from service.http.jobs.client_presence import while_here
from service.http.problems import HttpProblem
from service.http.reference.routes import answers, parameter, takes_file
from service.http.sheets.negotiation import prefers
from service.http.weldment_files.sent_file import FORM_ROOM, WORDS, sent_file

router = APIRouter(prefix="/v1/weldments", tags=["weldments"])
_SVG = "image/svg+xml"
_POLICY = "sandbox; default-src 'none'; style-src 'unsafe-inline'; base-uri 'none'; form-action 'none'"
"""For the picture, which a browser takes for a page: it runs no script and loads nothing."""
_READ = answers(200, model=ReadingDocument, problems=("bad-header", "malformed", "busy", "worker-died"), headers=("Vary",))
_READ[200]["content"] = {_SVG: {"schema": {"type": "string"}}}
_ACCEPT = parameter("header", "Accept", f"`{_SVG}`: what was read as a picture; else the document", ())


def _said(word: str) -> Any:
    return Query(max_length=200, description=WORDS[word] + "; of a body that is the file itself")


@router.post(
    "/read",
    summary="Read a weldment from a file",
    responses=_READ,
    openapi_extra={**takes_file(WORDS), "parameters": [_ACCEPT]},
)
async def read_weldment_file(
    request: Request,
    context: ContextHere,
    filename: Annotated[
        str | None, Query(max_length=200, description="the file's name, of a body that is the file itself")
    ] = None,
    units: Annotated[str | None, _said("units")] = None,
    thickness_mm: Annotated[str | None, _said("thickness_mm")] = None,
    layer_thickness: Annotated[str | None, _said("layer_thickness")] = None,
    gap_mm: Annotated[str | None, _said("gap_mm")] = None,
    as_body: Annotated[str | None, _said("as_body")] = None,
    leave_out: Annotated[str | None, _said("leave_out")] = None,
    fill_holes: Annotated[str | None, _said("fill_holes")] = None,
    material: Annotated[str | None, _said("material")] = None,
    name: Annotated[str | None, _said("name")] = None,
) -> Response:
    """Return what became of every body in a STEP file, a DXF drawing or a CSV cut list, and the weldment of the parts among them.

    The file is read in a process of its own, within limits on size, time and memory. A body that is not recognised is listed in
    `undecided`; ask again with `as_body`, `leave_out` or `fill_holes` for it. Nothing is kept.

    The file may be the body itself too, as `model/step`, `image/vnd.dxf`, `text/csv` or mere bytes, with the words in the query.
    """
    query = {
        "filename": filename, "units": units, "thickness_mm": thickness_mm, "layer_thickness": layer_thickness, "gap_mm": gap_mm,
        "as_body": as_body, "leave_out": leave_out, "fill_holes": fill_holes,
        "material": material, "name": name,
    }  # fmt: skip
    pool, settings = context.readings, context.planning.settings
    most = pool.limits.size
    body = await read_body(request, settings, media=MULTIPART, most=most + FORM_ROOM)
    file = sent_file(body, request.headers.get("content-type", ""), query)
    if len(file.content) > most:
        raise HttpProblem("too-large", f"the file has {len(file.content):,} bytes; accepted: at most {most:,} bytes")
    drawn = prefers(request.headers.get("accept", ""), _SVG, JSON)
    content = await while_here(request, pool.read(file, drawn=drawn))
    headers = {"Cache-Control": "no-store", "Vary": "Accept"} | ({"Content-Security-Policy": _POLICY} if drawn else {})
    return Response(content, media_type=_SVG if drawn else JSON, headers=headers)
