"""The setup sheet as PDF, set by typst: the same bytes every time, its texts to be found and read aloud."""

from __future__ import annotations

import json
from dataclasses import fields
from importlib.resources import as_file, files
from typing import Any

import segno

from service.drawings.paper.marks import Picture
from service.drawings.paper.svg import as_svg
from service.drawings.setup_sheet.content import SetupSheet, setup_sheet
from service.drawings.subject import Subject

_WRITTEN = 0
"""The moment a document says it was written: none, so that the same plan gives the same bytes."""


def as_pdf(subject: Subject) -> bytes:
    """Return the setup sheet of one alternative as a PDF document."""
    import typst

    sheet = setup_sheet(subject)
    data = json.dumps({"sheet": plain(sheet), "qr": qr_code(sheet.plan), "paper": paper_name(subject)}, ensure_ascii=False)
    with as_file(files("service.drawings") / "fonts") as fonts, as_file(files(__package__) / "sheet.typ") as template:
        compiler = typst.Compiler(str(template), font_paths=[str(fonts)], ignore_system_fonts=True)
        document = compiler.compile(format="pdf", sys_inputs={"data": data}, timestamp=_WRITTEN)
    assert isinstance(document, bytes)
    return document


def paper_name(subject: Subject) -> str:
    """Return the paper as typesetters call it."""
    return {"a4": "a4", "letter": "us-letter"}[subject.paper]


def qr_code(text: str) -> str:
    """Return a text as a QR code (ISO/IEC 18004) in SVG, nothing for no text."""
    return segno.make(text, error="m", micro=False).svg_inline(scale=1, border=4, omitsize=True) if text else ""


def plain(sheet: SetupSheet) -> dict[str, Any]:
    """Return a sheet as plain values: pictures as SVG with their size in mm."""
    return {field.name: _plain(getattr(sheet, field.name)) for field in fields(sheet)}


def _plain(value: Any) -> Any:
    if isinstance(value, Picture):
        return {"svg": as_svg(value), "width": value.width, "height": value.height, "title": value.title}
    if isinstance(value, tuple):
        return [_plain(one) for one in value]
    if hasattr(value, "__dataclass_fields__"):
        return {field.name: _plain(getattr(value, field.name)) for field in fields(value)}
    return value
