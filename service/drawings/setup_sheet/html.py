"""The setup sheet as one HTML page for printing: its pictures in it, nothing fetched, nothing run."""

from __future__ import annotations

from functools import cache

from jinja2 import Environment, PackageLoader, StrictUndefined, Template

from service.drawings.setup_sheet.content import MARGIN, PAGES, setup_sheet
from service.drawings.setup_sheet.pdf import plain, qr_code
from service.drawings.subject import Subject
from service.palette import COLOURS


def as_html(subject: Subject) -> str:
    """Return the setup sheet of one alternative as an HTML document, every text of the request escaped."""
    sheet = setup_sheet(subject)
    wide, high = PAGES[subject.paper]
    return _template().render(
        sheet=plain(sheet), qr=qr_code(sheet.plan), colours=COLOURS, page=f"{wide}mm {high}mm", margin=f"{MARGIN}mm"
    )


@cache
def _template() -> Template:
    return Environment(
        loader=PackageLoader(__package__, "."), autoescape=True, undefined=StrictUndefined, trim_blocks=True, lstrip_blocks=True
    ).get_template("sheet.html")
