"""The shop's own hardware read from a CAD file and the marks that say what the file does not."""

from __future__ import annotations

import json
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace

from fastapi import APIRouter, Request
from fastapi.responses import JSONResponse, Response
from starlette.concurrency import run_in_threadpool

from inventory.errors import Fault, InvalidDocument, refuse
from service.documents.item_files.item_reading import ItemReadingDocument
from service.documents.item_files.marks import EXAMPLE, MarksDocument, read_marks
from service.drawings.items.item_sheet import items_svg
from service.drawings.items.shown_items import ShownItems
from service.exchange.items.item_reading import ItemReading, marked_item
from service.exchange.items.item_reading_document import item_reading_document, said
from service.exchange.weldments.reading_document import read_reading
from service.exchange.weldments.weldment_reading import ALL
from service.http.dependencies import ContextHere
from service.http.guard.body import JSON, MULTIPART, read_body
from service.http.jobs.client_presence import while_here
from service.http.problems import HttpProblem
from service.http.reference.routes import REFERENCE, answers, parameter
from service.http.sheets.drawn_reply import page_policy
from service.http.sheets.negotiation import prefers
from service.http.weldment_files.sent_file import FORM_ROOM, SentFile, sent_file

router = APIRouter(prefix="/v1/items", tags=["items"])
MARKS = "marks"
MOST_MARKS = 100_000
"""Bytes of a marks document."""
_SVG = "image/svg+xml"
_READ = answers(200, model=ItemReadingDocument, problems=("bad-header", "malformed", "busy", "worker-died"), headers=("Vary",))
_READ[200]["content"] = {_SVG: {"schema": {"type": "string"}}}
_ACCEPT = parameter("header", "Accept", f"`{_SVG}`: the item as a picture; else the document", ())
_PARTS = {
    "file": {"type": "string", "format": "binary", "description": "the STEP file, with its name"},
    MARKS: {
        "type": "string",
        "description": "the marks, a holdwright.marks/1 document",
        "contentMediaType": JSON,
        "contentSchema": {"$ref": REFERENCE.format(model=MarksDocument.__name__)},
    },
    "units": {"type": "string", "description": "what the file's lengths are in, where it does not say: mm, cm, m, inch or foot"},
}
_FORM = {
    "schema": {"type": "object", "required": ["file", MARKS], "properties": _PARTS},
    "example": {"file": "ISO-10303-21;", MARKS: json.dumps(EXAMPLE)},
}


@router.post(
    "/read",
    summary="Read an item from a CAD file",
    responses=_READ,
    openapi_extra={"requestBody": {"required": True, "content": {MULTIPART: _FORM}}, "parameters": [_ACCEPT]},
)
async def read_item_file(request: Request, context: ContextHere) -> Response:
    """Return the item that a STEP file's solids and the marks make, with what a look at it found: pads, pegs, clamp, mass.

    Nothing is kept: `POST /v1/items` takes the item into the catalogue. `sound` is false if it is useless as it is.
    """
    pool = context.readings
    body = await read_body(request, context.planning.settings, media=MULTIPART, most=pool.limits.size + MOST_MARKS + FORM_ROOM)
    file = sent_file(body, request.headers.get("content-type", ""), {}, {MARKS: MOST_MARKS})
    if len(file.content) > pool.limits.size:
        wrong = f"the file has {len(file.content):,} bytes; accepted: at most {pool.limits.size:,} bytes"
        raise HttpProblem("too-large", wrong)
    marks = await run_in_threadpool(_marks, file)
    hardware = replace(file, words={**{word: file.words[word] for word in file.words if word == "units"}, "as_body": [ALL]})
    raw = await while_here(request, pool.read(hardware))
    drawn = prefers(request.headers.get("accept", ""), _SVG, JSON)
    found = await run_in_threadpool(_marked, raw, marks, pool.limits.answer)
    headers = {"Cache-Control": "no-store", "Vary": "Accept"}
    if drawn:
        picture = items_svg(ShownItems((found.item,), marks.pitch), said(found))
        return Response(picture, media_type=_SVG, headers=headers | page_policy(_SVG))
    return JSONResponse(item_reading_document(found), headers=headers)


def _marks(file: SentFile) -> MarksDocument:
    """Return the marks that were sent with a file; raises InvalidDocument for other words than of hardware, and without marks."""
    accepted = f"file, {MARKS}, units"
    faults = [
        Fault(f"/form/{word}", "is said of weldments alone", accepted) for word in file.words if word not in (MARKS, "units")
    ]
    if MARKS not in file.words:
        wrong = "is missing: a CAD file alone does not say what a pad is"
        faults.append(Fault(f"/form/{MARKS}", wrong, "a holdwright.marks/1 document"))
    refuse(faults)
    with _in_marks():
        return read_marks(file.words[MARKS][0])


def _marked(raw: bytes, marks: MarksDocument, most: int) -> ItemReading:
    """Return the item of a reading and its marks."""
    reading = read_reading(raw, most)
    if reading.kind != "step":
        raise InvalidDocument([Fault("/file", f"is a {reading.kind.upper()} file, without solids", "a STEP file")])
    with _in_marks():
        return marked_item(reading, marks)


@contextmanager
def _in_marks() -> Iterator[None]:
    """Say of every fault found meanwhile that it stands in the marks."""
    try:
        yield
    except InvalidDocument as bad:
        raise InvalidDocument([fault.under(f"/form/{MARKS}") for fault in bad.faults]) from None
