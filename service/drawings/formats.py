"""The formats a plan can be had in: one line each; who draws asks here and knows none by name."""

from __future__ import annotations

from collections.abc import Mapping

from service.drawings import drawing, lists, setup_sheet, terminal
from service.drawings.dxf.drawing import as_dxf
from service.drawings.file_format import FileFormat
from service.drawings.models.glb import as_glb
from service.drawings.models.step import LIBRARY, as_step
from service.drawings.subject import Subject

Format = FileFormat[Subject]
"""A format of a plan."""

FORMATS: Mapping[str, Format] = {
    each.name: each
    for each in (
        Format("pdf", "application/pdf", ".pdf", setup_sheet.as_pdf, sheet=True, use="setup sheet, to print for the table"),
        Format("html", "text/html; charset=utf-8", ".html", setup_sheet.as_html, sheet=True, use="setup sheet, for a screen"),
        Format("svg", "image/svg+xml", ".svg", drawing.as_svg, sheet=True, use="drawing on one sheet, for other documents"),
        Format("txt", "text/plain; charset=utf-8", ".txt", terminal.as_text, sheet=True, use="drawing and lists in letters"),
        Format("csv", "text/csv; charset=utf-8", ".csv", lists.as_csv, use="pieces and kit, for spreadsheets"),
        Format("dxf", "image/vnd.dxf", ".dxf", as_dxf, use="view from above in layers, for drawing programs"),
        Format("glb", "model/gltf-binary", ".glb", as_glb, use="fixture in space, for viewers"),
        Format("step", "model/step", ".step", as_step, needs=LIBRARY, use="fixture as solid bodies, for CAD"),
    )
}
"""Every format, by name, in the order they are offered."""
