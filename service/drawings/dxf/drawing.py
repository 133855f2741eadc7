"""The top view as a DXF drawing, R2010, in table millimetres: a layer a kind, and on every outline what it is the outline of.

Outlines are closed and lie in the plane; welds and contacts are where they are in space. Extended data under ``HOLDWRIGHT``
tells the ids and words of the plan. ezdxf is imported when a drawing is made.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING

import numpy as np

from inventory.shapes import Point2
from inventory.tables import Hole, Table, hole_label
from service.drawings.dxf.dimensions import add_ordinates, add_sizes
from service.drawings.dxf.layers import BLOCKED_HOLE, HOLE, LAYER_OF, STYLE, blank, file_of, text_height
from service.drawings.dxf.texts import APPLICATION, Tag, facts, shown
from service.drawings.models.bodies import weld_paths
from service.drawings.paper.style import CAUTION
from service.drawings.placing_order import numbers
from service.drawings.projection import Silhouette
from service.drawings.scene import DrawnPiece, Scene, scene
from service.drawings.subject import Subject

if TYPE_CHECKING:
    from ezdxf.layouts import Modelspace

MOST_HOLES = 20_000
"""Of a table with more holes than this, those near the fixture are drawn."""


def as_dxf(subject: Subject) -> str:
    """Return the drawing of one alternative; the same plan gives the same file."""
    drawn = scene(subject)
    drawing = blank(drawn.table, subject.request.weldment.units)
    space = drawing.modelspace()
    _add_table(space, drawn)
    _add_bodies(space, subject, drawn)
    _add_welds(space, subject)
    _add_contacts(space, subject, drawn.table)
    add_sizes(space, drawn)
    add_ordinates(space, drawn)
    _add_labels(space, drawn)
    _add_title(space, drawn)
    return file_of(drawing)


def _add_table(space: Modelspace, drawn: Scene) -> None:
    table, (long, wide) = drawn.table, drawn.table.size
    _outline(space, [(0.0, 0.0), (long, 0.0), (long, wide), (0.0, wide)], "TABLE", facts(kind="table", id=table.id))
    for hole, centre in _holes(drawn):
        block = BLOCKED_HOLE if hole in table.blocked_holes else HOLE
        inserted = space.add_blockref(block, centre, dxfattribs={"layer": "HOLES"})
        inserted.set_xdata(APPLICATION, facts(hole=hole_label(hole)))


def _holes(drawn: Scene) -> Iterator[tuple[Hole, Point2]]:
    """Yield the table's holes with their centres: all of them, or those near the fixture."""
    table, (x0, y0, x1, y1) = drawn.table, drawn.window
    every = table.columns * table.rows <= MOST_HOLES
    for column in range(table.columns):
        x = table.first[0] + table.pitch * column
        for row in range(table.rows) if every or x0 <= x <= x1 else ():
            y = table.first[1] + table.pitch * row
            if every or y0 <= y <= y1:
                yield (column, row), (x, y)


def _add_bodies(space: Modelspace, subject: Subject, drawn: Scene) -> None:
    for part, seen in zip(subject.alternative.parts, drawn.parts, strict=True):
        for shape in seen.shapes:
            known = facts(kind="outer body" if seen.outer else "part", id=part.id, station=part.station, **_heights(shape))
            for ring in shape.rings:
                _outline(space, ring, "PARTS", known)
    placed = numbers(subject.alternative)
    for piece in drawn.pieces:
        for shape in piece.shapes:
            known = facts(
                kind=piece.purpose, id=piece.id, number=placed[piece.id], item=piece.item, hole=piece.hole, on=piece.stands_on,
                turn=piece.turn, setting_mm=piece.setting_mm, **_heights(shape),
            )  # fmt: skip
            for ring in shape.rings:
                _outline(space, ring, LAYER_OF[piece.purpose], known)


def _heights(shape: Silhouette) -> dict[str, float]:
    return {"from_mm": shape.low, "to_mm": shape.high}


def _outline(space: Modelspace, ring: Iterable[Point2], layer: str, known: list[Tag]) -> None:
    space.add_lwpolyline(ring, close=True, dxfattribs={"layer": layer}).set_xdata(APPLICATION, known)


def _add_welds(space: Modelspace, subject: Subject) -> None:
    for id, station, path in weld_paths(subject):
        bead = space.add_polyline3d(path, dxfattribs={"layer": "WELDS"})
        bead.set_xdata(APPLICATION, facts(kind="weld", id=id, station=station))


def _add_contacts(space: Modelspace, subject: Subject, table: Table) -> None:
    """Add each contact as a point, and a line to it along its normal from the side of the piece."""
    for placement in subject.alternative.placements:
        for contact in placement.contacts:
            at, normal = np.array(contact.at, dtype=float), np.array(contact.normal, dtype=float)
            known = facts(kind="contact", piece=placement.id, part=contact.part, face=contact.face)
            tags: list[Tag] = [*known, (1013, (float(normal[0]), float(normal[1]), float(normal[2])))]
            space.add_point(at, dxfattribs={"layer": "CONTACTS"}).set_xdata(APPLICATION, tags)
            start = at - normal * table.pitch / 4
            space.add_line(start, at, dxfattribs={"layer": "CONTACTS"}).set_xdata(APPLICATION, tags)


def _add_labels(space: Modelspace, drawn: Scene) -> None:
    """Add the ids where bodies are: of a stack one under another, the highest first; of a part where no other text is near."""
    height = text_height(drawn.table)
    stacks: dict[Point2, list[DrawnPiece]] = {}
    for piece in drawn.pieces:
        stacks.setdefault((round(piece.origin[0], 1), round(piece.origin[1], 1)), []).append(piece)
    for (x, y), stack in stacks.items():
        for line, piece in enumerate(reversed(stack)):
            _text(space, piece.id, (x, y - 1.4 * height * line), height)
    taken = list(stacks)
    for part in drawn.parts:
        taken.append(_spot(part.shapes[0].box, taken))
        _text(space, part.id, taken[-1], height)


def _spot(box: tuple[float, float, float, float], taken: Iterable[Point2]) -> Point2:
    """Return the place along the middle of a box's longer side farthest from what is taken; its middle if nothing is."""
    x0, y0, x1, y1 = box
    shares = (0.5, 0.35, 0.65, 0.2, 0.8)
    places = [(x0 + share * (x1 - x0), (y0 + y1) / 2) for share in shares]
    if y1 - y0 > x1 - x0:
        places = [((x0 + x1) / 2, y0 + share * (y1 - y0)) for share in shares]
    return max(places, key=lambda place: min((math.dist(place, other) for other in taken), default=0.0))


def _add_title(space: Modelspace, drawn: Scene) -> None:
    """Add what is drawn above the table and all that stands on it, and the caution below."""
    height, (x0, y0, _, y1) = text_height(drawn.table), drawn.window
    left, top, bottom = min(0.0, x0), max(drawn.table.size[1], y1), min(0.0, y0)
    lines = (
        drawn.weldment,
        drawn.title,
        f"{drawn.quantity} off, table {drawn.table.id}, {drawn.lie}; drawn in mm from the corner of the table",
    )
    for line, words in enumerate(reversed(lines)):
        _text(space, words, (left, top + height * (4 + 2 * line)), height * 1.2, centred=False)
    _text(space, CAUTION, (left, bottom - 12 * height), height, centred=False)


def _text(space: Modelspace, words: str, at: Point2, height: float, centred: bool = True) -> None:
    from ezdxf.enums import TextEntityAlignment

    entity = space.add_text(shown(words), height=height, dxfattribs={"layer": "TEXT", "style": STYLE})
    entity.set_placement(at, align=TextEntityAlignment.MIDDLE_CENTER if centred else TextEntityAlignment.LEFT)
