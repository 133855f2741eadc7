"""What was read of a file, drawn: the weldment in space, from above and from two sides; what is no part as a dashed box."""

from __future__ import annotations

from inventory.shapes import Point2
from service.drawings.paper.lettering import LINE, NORMAL, SMALL
from service.drawings.paper.marks import Box, Group, Mark, Picture, TextLine, rectangle, shifted
from service.drawings.paper.svg import as_svg
from service.drawings.paper.tables import wrapped
from service.drawings.weldment.flat_views import flat_view
from service.drawings.weldment.in_space import weldment_in_space
from service.drawings.weldment.shown_weldment import ShownBox, ShownWeldment
from service.exchange.weldments.weldment_reading import ReadBody, WeldmentReading
from solver.weldment import LengthUnit

_ROOM: Point2 = (135.0, 92.0)
_GAP, _MARGIN = 5.0, 10.0
_MOST_LISTED = 30
_VIEWS = (("front", "from the front"), ("above", "from above"), ("right", "from the right"))


def reading_svg(reading: WeldmentReading) -> str:
    """Return what was read as an SVG document."""
    return as_svg(reading_picture(reading))


def reading_picture(reading: WeldmentReading) -> Picture:
    """Return what was read on one sheet."""
    shown = _shown(reading)
    views = [("in space", weldment_in_space(shown, _ROOM)), *((said, flat_view(shown, name, _ROOM)) for name, said in _VIEWS)]
    wide = 2 * _ROOM[0] + _GAP + 2 * _MARGIN
    bottom = _MARGIN + NORMAL
    marks: list[Mark] = [TextLine(shown.name or "weldment", (_MARGIN, bottom), "words", NORMAL, bold=True)]
    bottom += _GAP
    for row in (views[:2], views[2:]):
        left = _MARGIN
        for said, picture in row:
            marks.append(TextLine(said, (left, bottom), "words", SMALL))
            marks.append(
                Group(tuple(shifted(picture.marks, left, bottom + 1.5)), f"view-{said.replace(' ', '-')}", picture.title)
            )
            left += _ROOM[0] + _GAP
        bottom += 1.5 + max(picture.height for _, picture in row) + _GAP
    for said in _listed(reading):
        for text in wrapped(said, SMALL, wide - 2 * _MARGIN):
            marks.append(TextLine(text, (_MARGIN, bottom), "weld-words", SMALL))
            bottom += LINE * SMALL
    high = bottom + _MARGIN - _GAP
    words = f"{len(reading.parts)} parts of {len(reading.bodies)} bodies; {len(reading.undecided)} are not recognised."
    return Picture(wide, high, (rectangle(Box(0.0, 0.0, wide, high), "paper"), *marks), shown.name or "weldment", words)


def _shown(reading: WeldmentReading) -> ShownWeldment:
    boxes = tuple(
        ShownBox(*body.box, f"? {body.name}")
        for body in reading.undecided
        if body.box is not None and _near(body.box[0]) and _near(body.box[1])
    )
    units: LengthUnit = "inch" if reading.units in ("inch", "foot") else "mm"
    return ShownWeldment(reading.name, units, tuple(enumerate(reading.parts)), boxes=boxes)


def _near(point: tuple[float, float, float]) -> bool:
    """Whether a point is one that a weldment can have; a box elsewhere would leave no room for anything else."""
    return all(abs(number) <= 20_000 for number in point)


def _listed(reading: WeldmentReading) -> list[str]:
    undecided = reading.undecided
    lines = [_line(body) for body in undecided[:_MOST_LISTED]]
    return lines + ([f"and {len(undecided) - _MOST_LISTED:,} more"] if len(undecided) > _MOST_LISTED else [])


def _line(body: ReadBody) -> str:
    why = body.remarks[0].text if body.remarks else body.words
    return f"{body.number} {body.name}: not recognised" + (f": {why}" if why else "")
