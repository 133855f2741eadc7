"""A weldment started from a file of another program: what became of its bodies is shown, and what is no part is asked about.

The file is read once, every body that is no part as its outer body: leaving one out takes its part away again. What was read
goes to the browser and comes back with the choices, so nothing is kept of it meanwhile.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from fastapi import APIRouter, Request
from fastapi.responses import Response
from markupsafe import Markup
from starlette.concurrency import run_in_threadpool

from inventory.errors import Fault, InvalidDocument
from service.documents.reading.text import LARGEST_BODY, read_text
from service.documents.weldment_files.words import DrawnUnit
from service.drawings.paper.svg import as_inline_svg
from service.drawings.weldment.reading_picture import reading_picture
from service.exchange.weldments.readers import READERS
from service.exchange.weldments.reading_document import read_reading
from service.exchange.weldments.weldment_reading import WeldmentReading
from service.http.dependencies import Context, ContextHere
from service.http.guard.body import MULTIPART, read_body
from service.http.jobs.client_presence import while_here
from service.http.problems import HttpProblem
from service.http.weldment_files.sent_file import FORM_ROOM, SentFile, sent_file
from service.page.forms import Form
from service.page.frame import page
from service.records.stored_weldment import SourceFile
from service.weldments.edited import Edited
from service.weldments.origins import Origin, with_origin
from service.weldments.starts import pasted

router = APIRouter(include_in_schema=False)
UNITS: tuple[tuple[DrawnUnit | str, str], ...] = (
    ("", "as the file says"), ("mm", "mm"), ("cm", "cm"), ("m", "m"), ("inch", "inches"), ("foot", "feet"),
)  # fmt: skip
SUFFIXES = tuple(suffix for reader in READERS.values() for suffix in reader.suffixes)
"""Endings of the files that are read."""


@dataclass(frozen=True, slots=True)
class ShownReading:
    """What was read of a file as the screen shows it.

    Parameters
    ----------
    reading : WeldmentReading
    source : SourceFile
        The file.
    weldment : str
        The document of its parts, JSON; empty if there are none.
    picture : str
        An element of the page.
    """

    reading: WeldmentReading
    source: SourceFile
    weldment: str
    picture: str


@router.post("/weldments/file")
async def read_file_here(request: Request, context: ContextHere) -> Response:
    """Show what became of the bodies of a file, and ask what becomes of those that are no part."""
    pool = context.readings
    body = await read_body(request, context.planning.settings, media=MULTIPART, most=pool.limits.size + FORM_ROOM)
    form = Form({})
    try:
        file = await run_in_threadpool(sent_file, body, request.headers.get("content-type", ""), {})
        form = Form({name: tuple(values) for name, values in file.words.items()})
        _refuse_size(file, pool.limits.size)
        shown = await _shown(request, context, file)
    except InvalidDocument as bad:
        form.faults[:] = [_at_field(fault) for fault in bad.faults]
        return page(request, "weldments/file.html", status=422, form=form, shown=None, units=UNITS, suffixes=SUFFIXES)
    return page(request, "weldments/file.html", form=form, shown=shown, units=UNITS, suffixes=SUFFIXES)


async def _shown(request: Request, context: Context, file: SentFile) -> ShownReading:
    """Return what is read of a file; raises InvalidDocument."""
    asked = replace(file, words={**file.words, "as_body": ["*"]})
    content = await while_here(request, context.readings.read(asked))
    return await run_in_threadpool(_of_content, file, content)


def _of_content(file: SentFile, content: bytes) -> ShownReading:
    reading = read_reading(content, len(content))
    weldment = json.loads(content)["weldment"]
    source = SourceFile(file.name, reading.kind, hashlib.sha256(file.content).hexdigest())
    text = "" if weldment is None else json.dumps(weldment, ensure_ascii=False, separators=(",", ":"))
    picture = Markup(as_inline_svg(reading_picture(reading), "reading"))  # which escapes what it is given
    return ShownReading(reading, source, text, picture)


def started_from_file(form: Form) -> Edited:
    """Return the draft that what was read of a file makes, without the bodies that are left out; raises InvalidDocument."""
    left_out = {word.removeprefix("part:") for name in form.names() for word in form.all(name) if word.startswith("part:")}
    read = read_text(form.raw("weldment"), LARGEST_BODY)
    values: Any = read.values
    if read.faults or not isinstance(values, Mapping) or not isinstance(values.get("parts"), list):
        raise InvalidDocument([Fault("", "what was read of the file did not come back whole", "the file, read anew")])
    parts = [part for part in values["parts"] if not (isinstance(part, Mapping) and part.get("id") in left_out)]
    made = pasted(json.dumps({**values, "parts": parts}, ensure_ascii=False), as_it_is=True)
    source = SourceFile(form.raw("source")[:200], form.raw("source_kind")[:200], form.raw("source_sha256")[:64])
    return Edited(with_origin(made.document, Origin(file=source)), f"read {source.name}"[:200])


def _refuse_size(file: SentFile, most: int) -> None:
    if len(file.content) > most:
        raise HttpProblem("too-large", f"the file has {len(file.content):,} bytes; accepted: at most {most:,} bytes")


def _at_field(fault: Fault) -> Fault:
    """Return a fault of what was sent at the form's field; one in the file keeps its place there in its words."""
    if fault.pointer.startswith("/form/"):
        return Fault(fault.pointer.removeprefix("/form"), fault.wrong, fault.accepted)
    place = fault.pointer.removeprefix("/file").strip("/")
    return Fault("/file", f"{place}: {fault.wrong}" if place else fault.wrong, fault.accepted)
