"""Items on one sheet: each from above, from the front and from the right, with its pegs, its pads and the way of its tip."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from inventory.items import KINDS, Item
from inventory.shapes import Point3
from service.drawings.items.shown_items import ShownItems, pad_corners, peg_points, seen_box
from service.drawings.paper.lettering import LINE, NORMAL, SMALL, fitted
from service.drawings.paper.marks import (
    Box,
    Disc,
    Group,
    Mark,
    Picture,
    Stroke,
    TextLine,
    arrow,
    line,
    name_of,
    rectangle,
    shifted,
)
from service.drawings.paper.svg import as_svg
from service.drawings.paper.tables import wrapped
from service.drawings.views.dimensions import BAR_HIGH, OVERALL, overall, scale_bar
from service.drawings.views.outlook import SIDES, TOP, Outlook, View, scale_for, window_around

_VIEWS = (TOP, SIDES["from the front"], SIDES["from the right"])
_ROOM = (86.0, 78.0)
_MARGIN, _GAP, _AROUND = 10.0, 5.0, 4.0
_WIDE = 3 * _ROOM[0] + 2 * _GAP
_ARROW_MM = 6.0
_PEG_MM = 1.4
_LEGEND = (
    "Circles: pegs. Red lines: pads, each with an arrow into the part. Broken red line: the way of the tip. Broken edges: what "
    "moves with the setting, drawn at the setting 0. The table is the line below the views from the sides."
)


def items_svg(shown: ShownItems, lines: Sequence[str] = ()) -> str:
    """Return the sheet as an SVG document."""
    return as_svg(items_sheet(shown, lines))


def items_sheet(shown: ShownItems, lines: Sequence[str] = ()) -> Picture:
    """Return items one below the other on one long sheet, and lines of text below them."""
    marks: list[Mark] = []
    y = _MARGIN
    for item in shown.items:
        drawn, high = _row(item, shown.pitch)
        marks.append(Group(tuple(shifted(drawn, _MARGIN, y)), name_of("item", item.id), item.name or item.id))
        y += high + _GAP
    for style, words in (*(("words", said) for said in lines), ("quiet", _LEGEND)):
        for text in wrapped(words, SMALL, _WIDE):
            y += LINE * SMALL
            marks.append(TextLine(text, (_MARGIN, y), style, SMALL))
    wide, high = _WIDE + 2 * _MARGIN, y + _MARGIN
    title = shown.items[0].id if len(shown.items) == 1 else "catalogue"
    paper = rectangle(Box(0.0, 0.0, wide, high), "paper")
    return Picture(wide, high, (paper, *marks), title, f"{len(shown.items)} items of hardware with their pegs and pads.")


def _row(item: Item, pitch: float | None) -> tuple[list[Mark], float]:
    """Return an item's heading and views from (0, 0) on, and how high they are, mm; all its views have one scale."""
    heading = fitted(f"{item.id}  {item.name}" if item.name else item.id, NORMAL, _WIDE, bold=True)
    marks: list[Mark] = [TextLine(heading, (0.0, NORMAL), "words", NORMAL, bold=True)]
    y = NORMAL
    for text in wrapped(_facts(item, pitch), SMALL, _WIDE):
        y += LINE * SMALL
        marks.append(TextLine(text, (0.0, y), "quiet", SMALL))
    boxes = [seen_box(item, outlook, pitch) for outlook in _VIEWS]
    room = _ROOM[0] - OVERALL - 2 * _AROUND, _ROOM[1] - OVERALL - 2 * _AROUND
    scale = max(scale_for(window_around([(box.left, box.top), (box.right, box.bottom)], 0.0), room) for box in boxes)
    lowest = y
    for column, (outlook, box) in enumerate(zip(_VIEWS, boxes, strict=True)):
        window = window_around([(box.left, box.top), (box.right, box.bottom)], _AROUND * scale)
        view = View(outlook, window, scale, (column * (_ROOM[0] + _GAP), y + LINE * SMALL + OVERALL + 2.0))
        marks.append(TextLine(outlook.name, (view.frame.left, y + 1.2 + LINE * SMALL), "quiet", SMALL))
        marks += _view(item, view, pitch)
        marks += overall(view, _solid_box(item, outlook), "mm")
        lowest = max(lowest, view.frame.bottom)
    marks += scale_bar((0.0, lowest + 1.5), scale, "mm", 40.0)
    return marks, lowest + BAR_HIGH


def _facts(item: Item, pitch: float | None) -> str:
    pegs = _count(len(item.pegs), "peg")
    lattice = (
        f" at a pitch of {pitch:g} mm" if pitch is not None else ", of which those beside the origin are not drawn: no pitch"
    )
    words = [item.kind.replace("_", " "), pegs + (lattice if len(item.pegs) > 1 else ""), _count(len(item.contacts), "pad")]
    if item.slide is not None:
        words.append(f"slides {item.slide.low:g} to {item.slide.high:g} mm")
    if item.clamp is not None:
        words.append(f"clamps with {item.clamp.force_n:g} N")
    if item.carries is not None:
        words.append(f"carries at {item.carries.height:g} mm")
    return ", ".join([*words, f"{item.mass_kg:g} kg"])


def _count(number: int, what: str) -> str:
    return f"{number} {what}{'' if number == 1 else 's'}"


def _view(item: Item, view: View, pitch: float | None) -> Iterator[Mark]:
    """Yield one view: the floor or the table's line, solids from the furthest, pegs, pads, the way of the tip."""
    yield rectangle(view.frame, "floor")
    if view.outlook is not TOP:
        (_, low), (left, right) = view.flat((0.0, 0.0)), (view.frame.left, view.frame.right)
        yield line((left, low), (right, low), style="size")
    bodies = sorted(((view.outlook.shape(solid.prism), solid.moves) for solid in item.solids), key=lambda body: body[0].high)
    for shape, moves in bodies:
        rings = tuple(view.ring(ring) for ring in shape.rings)
        yield Stroke(rings, KINDS[item.kind].purpose)
        if moves:
            yield Stroke(rings, "hidden")
    for x, y in peg_points(item, pitch):
        yield Disc(view.at((x, y, 0.0)), _PEG_MM, "taken")
    if item.clamp is not None:
        yield line(*(view.at(end) for end in item.clamp.reach), style="seam")
    for contact in item.contacts:
        yield Stroke((tuple(view.at(corner) for corner in pad_corners(contact)),), "torch")
        yield from _normal(view, contact.at, contact.normal)


def _normal(view: View, at: Point3, normal: Point3) -> Sequence[Mark]:
    """Return an arrow along a pad's normal from its middle; a disc where one looks along it."""
    start, (right, down) = view.at(at), view.way(normal)
    if abs(right) + abs(down) < 0.2:
        return (Disc(start, 0.9, "torch-down"),)
    return arrow(start, (start[0] + _ARROW_MM * right, start[1] + _ARROW_MM * down), "torch")


def _solid_box(item: Item, outlook: Outlook) -> tuple[float, float, float, float]:
    around = [outlook.shape(solid.prism).box for solid in item.solids]
    return min(b[0] for b in around), min(b[1] for b in around), max(b[2] for b in around), max(b[3] for b in around)
