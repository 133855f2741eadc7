"""The drawing on one sheet: the view from above, a view from a side, details, the legend, every piece, what the hands do."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from service.drawings.paper.lettering import LARGE, LINE, NORMAL, SMALL, fitted
from service.drawings.paper.marks import Box, Group, Mark, Picture, TextLine, rectangle, shifted
from service.drawings.paper.style import CAUTION
from service.drawings.paper.svg import as_svg as written
from service.drawings.paper.tables import table, wrapped
from service.drawings.place_lines import place_lines
from service.drawings.run_settings import HEADING, setting_tables
from service.drawings.scene import Scene, scene
from service.drawings.subject import Subject
from service.drawings.views.elevation import elevation, needs_elevation
from service.drawings.views.legend import legend
from service.drawings.views.top_view import top_views
from service.steps import change_rows, load_lines
from service.text import length

WIDE = 277.0
"""Width of what is drawn, mm: that of an A4 sheet laid across, within its margins."""
_HIGH = 230.0
_MARGIN = 10.0
_GAP = 5.0
_PIECES = ("no", "piece", "item", "bin", "where", "turn", "set", "does")
_CHANGES = ("step", "do", "piece", "item", "from", "to", "turn", "set", "why")


def as_svg(subject: Subject) -> str:
    """Return the drawing of one alternative as an SVG document."""
    return written(drawing(subject))


def drawing(subject: Subject) -> Picture:
    """Return the drawing of one alternative; raises KeyError if it names a table or an item the stock does not have."""
    drawn = scene(subject)
    page = _Page()
    page.add_marks(*_head(subject, drawn))
    views = top_views(drawn, (WIDE, _HIGH))
    page.add(views.main, "from-above")
    side = [elevation(drawn, (WIDE, 0.5 * _HIGH))] if needs_elevation(drawn) else []
    page.add_row([*side, *views.details])
    page.add(legend(WIDE), "legend")
    page.add_table("pieces", _PIECES, list(_piece_rows(subject)))
    for settings in setting_tables(subject.alternative, drawn.weldment, drawn.units, drawn.quantity):
        page.add_table(HEADING, settings.columns, settings.rows)
    lines = [text for line in load_lines(subject.alternative, drawn.units) for text in wrapped(line, SMALL, WIDE)]
    page.add_lines("loading", lines)
    if subject.alternative.changes is not None:
        page.add_table("from what stands", _CHANGES, change_rows(subject.alternative.changes, drawn.units))
    page.add_lines("", list(wrapped(CAUTION, SMALL, WIDE)))
    words = (
        f"{drawn.weldment} on table {drawn.table.id}: {len(drawn.parts)} parts, {len(drawn.welds)} welds, "
        f"{len(drawn.pieces)} pieces of hardware. Every piece is listed with its hole, turn and setting."
    )
    return page.picture(f"{drawn.weldment}: {drawn.title}", words)


class _Page:
    """Pictures and words one below the other, from the upper left corner on."""

    def __init__(self) -> None:
        self.marks: list[Mark] = []
        self.wide, self.bottom = WIDE + 2 * _MARGIN, _MARGIN

    def add_marks(self, marks: Sequence[Mark], high: float) -> None:
        """Put marks drawn from (0, 0) on at the left, so high."""
        self.marks += shifted(marks, _MARGIN, self.bottom)
        self.bottom += high + _GAP

    def add(self, picture: Picture, id: str) -> None:
        """Put a picture on at the left."""
        self._put(picture, id, _MARGIN)
        self.bottom += picture.height + _GAP

    def _put(self, picture: Picture, id: str, left: float) -> None:
        self.marks.append(Group(tuple(shifted(picture.marks, left, self.bottom)), id, picture.title))
        self.wide = max(self.wide, left + picture.width + _MARGIN)

    def add_row(self, pictures: Sequence[Picture]) -> None:
        """Put pictures on side by side, in as many rows as they need."""
        row: list[Picture] = []
        for picture in [*pictures, None]:
            if picture is None or sum(one.width + _GAP for one in row) + picture.width > WIDE:
                left = _MARGIN
                for one in row:
                    self._put(one, f"view-{len(self.marks)}", left)
                    left += one.width + _GAP
                self.bottom += max((one.height for one in row), default=-_GAP) + _GAP
                row = []
            if picture is not None:
                row.append(picture)

    def add_table(self, heading: str, columns: Sequence[str], rows: Sequence[Sequence[str]]) -> None:
        """Put a table on under its heading."""
        marks, bottom = table(columns, rows, WIDE, LINE * NORMAL)
        self.add_marks([TextLine(heading, (0.0, NORMAL), "words", NORMAL, bold=True), *marks], bottom)

    def add_lines(self, heading: str, lines: Sequence[str]) -> None:
        """Put lines of text on, under a heading if there is one."""
        if not lines:
            return
        top = LINE * NORMAL if heading else 0.0
        marks: list[Mark] = [TextLine(heading, (0.0, NORMAL), "words", NORMAL, bold=True)] if heading else []
        marks += [TextLine(line, (0.0, top + (k + 1) * LINE * SMALL), "words", SMALL) for k, line in enumerate(lines)]
        self.add_marks(marks, top + len(lines) * LINE * SMALL)

    def picture(self, title: str, description: str) -> Picture:
        """Return the page as long as what is on it."""
        high = self.bottom - _GAP + _MARGIN
        paper = rectangle(Box(0.0, 0.0, self.wide, high), "paper")
        return Picture(self.wide, high, (paper, *self.marks), title, description)


def _head(subject: Subject, drawn: Scene) -> tuple[list[Mark], float]:
    x0, y0, x1, y1 = drawn.part_box
    first, units = drawn.table.first, drawn.units
    facts = (
        f"{drawn.quantity} off, table {drawn.table.id}, pitch {length(drawn.table.pitch, units)}, {drawn.lie}, "
        f"setup {drawn.setup_s / 60:.1f} min, cycle {drawn.cycle_s} s, total {drawn.total}",
        f"{f'{drawn.stations} weldments' if drawn.stations > 1 else 'weldment'} {length(x1 - x0, units)} x "
        f"{length(y1 - y0, units)}{' in all' if drawn.stations > 1 else ''}; "
        f"{'their' if drawn.stations > 1 else 'its'} lower left corner lies "
        f"{length(x0 - first[0], units)} right of and {length(y0 - first[1], units)} beyond the centre of hole A1",
    )
    marks: list[Mark] = [
        TextLine(fitted(drawn.weldment, LARGE, WIDE, bold=True), (0.0, LARGE), "words", LARGE, bold=True),
        TextLine(fitted(drawn.title, NORMAL, WIDE), (0.0, LARGE + LINE * NORMAL), "words", NORMAL),
    ]
    at = LARGE + LINE * NORMAL
    for fact in facts:
        for text in wrapped(fact, SMALL, WIDE):
            at += LINE * SMALL
            marks.append(TextLine(text, (0.0, at), "quiet", SMALL))
    return marks, at


def _piece_rows(subject: Subject) -> Iterator[list[str]]:
    for one in place_lines(subject):
        yield [str(one.number), one.piece, one.item, one.bin, one.where, f"{one.turn}°", one.setting, one.does]
