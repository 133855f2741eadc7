"""The formats a plan can be had in: one line each; who draws asks here and knows none by name."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from service.drawings import drawing, setup_sheet, terminal
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
        Returns what is drawn in the format; raises KeyError if the alternative names a table or an item the stock does not have.
    """

    name: str
    media_type: str
    suffix: str
    draw: Callable[[Subject], str | bytes]

    def content(self, subject: Subject) -> bytes:
        """Return the file's bytes; text in UTF-8."""
        drawn = self.draw(subject)
        return drawn.encode() if isinstance(drawn, str) else drawn


FORMATS: Mapping[str, Format] = {
    each.name: each
    for each in (
        Format("pdf", "application/pdf", ".pdf", setup_sheet.as_pdf),
        Format("html", "text/html; charset=utf-8", ".html", setup_sheet.as_html),
        Format("svg", "image/svg+xml", ".svg", drawing.as_svg),
        Format("txt", "text/plain; charset=utf-8", ".txt", terminal.as_text),
    )
}
"""Every format, by name, in the order they are offered."""
