"""The formats a plan can be had in: one line each; who draws asks here and knows none by name."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from importlib.util import find_spec

from service.drawings import drawing, lists, setup_sheet, terminal
from service.drawings.dxf.drawing import as_dxf
from service.drawings.models.glb import as_glb
from service.drawings.models.step import LIBRARY, as_step
from service.drawings.subject import Subject


@dataclass(frozen=True, slots=True)
class Format:
    """One format of a plan.

    Parameters
    ----------
    media_type : str
        As HTTP names it.
    suffix : str
        Ending of the file's name, with its dot.
    draw : callable
        Returns what is drawn in the format; raises KeyError if the alternative names a table or an item the stock does not have,
        NotInstalled if it needs a library that is not there.
    needs : str
        The library of an extra that it needs; empty if what every installation has is enough.
    sheet : bool
        Whether people work by it, so that it tells all that the hands do; other programs read the rest.
    use : str
        What it is for, in a few words.
    """

    name: str
    media_type: str
    suffix: str
    draw: Callable[[Subject], str | bytes]
    needs: str = ""
    sheet: bool = False
    use: str = ""

    @property
    def available(self) -> bool:
        """Whether what it needs is installed."""
        return not self.needs or find_spec(self.needs) is not None

    def content(self, subject: Subject) -> bytes:
        """Return the file's bytes; text in UTF-8."""
        drawn = self.draw(subject)
        return drawn.encode() if isinstance(drawn, str) else drawn


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
