"""A plan written by hand: one tube against three stops under a clamp, a fourth stop on a riser."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from inventory.items import Item
from inventory.shapes import Prism, turned
from inventory.stock import StockSnapshot
from inventory.tables import parse_hole
from service.drawings.subject import Subject
from solver.plans import Alternative, Cost, KitLine, PlacedContact, PlacedPart, Placement, Station, Unload
from solver.request import Request
from tests.builders import bar, down_clamp, fillet, request, riser, shelf, stop, table, weldment

SHIFT = ((1.0, 0.0, 0.0, 135.0), (0.0, 1.0, 0.0, 200.0), (0.0, 0.0, 1.0, 0.0), (0.0, 0.0, 0.0, 1.0))


def stock() -> StockSnapshot:
    """A shelf with the pieces of the plan, and a table with one blocked hole."""
    return shelf((stop(), 4), (riser(), 2), (down_clamp(), 2), tables=(table(blocked_holes=frozenset({parse_hole("B3")})),))


def question() -> Request:
    """Two flat bars in line, butted and welded across their tops."""
    bars = (bar("bar-1", length=200, at=(0, 0, 5)), bar("bar-2", length=200, at=(200, 0, 5)))
    return request(
        weldment(*bars, welds=[fillet("w1", ("bar-1", "bar-2"), (200, -20, 10), (200, 20, 10))], name="bars in line"), 7
    )


def piece(
    id: str,
    item: Item,
    hole: str,
    turn: float,
    role: Any,
    at: tuple[float, float, float],
    normal: Any,
    stands_on: str | None = None,
) -> Placement:
    """One placement with its solids where the item's are, lifted onto a riser if it stands on one."""
    column, row = parse_hole(hole)
    frame = turned(turn, (40.0 + 40 * column, 40.0 + 40 * row, 40.0 if stands_on else 0.0))
    return Placement(
        id=id, item=item.id, hole=None if stands_on else hole, turn=turn, stands_on=stands_on,
        setting_mm=5.0 if item.clamp else None,
        locates=() if role is None else (("bar-1", role),),
        solids=tuple(solid.prism.placed(frame) for solid in item.solids), open_solids=None,
        contacts=() if normal is None else (PlacedContact("bar-1", "side:0", at, normal, (at, at, at)),),
    )  # fmt: skip


def alternative() -> Alternative:
    """The plan's one alternative."""
    bars = question().weldment.parts
    pieces = (
        piece("p1", stop(), "D4", 0, "side", (160, 175, 5), (0, 1, 0)),
        piece("p2", stop(), "G4", 0, "side", (280, 175, 5), (0, 1, 0)),
        piece("p3", stop(), "C5", 270, "end", (135, 200, 5), (1, 0, 0)),
        piece("p4", down_clamp(), "F6", 180, None, (240, 220, 10), (0, 0, -1)),
        piece("p5", riser(), "J8", 0, None, (0, 0, 0), None),
        piece("p10", stop(), "J8", 90, "side", (385, 320, 60), (-1, 0, 0), stands_on="p5"),
    )
    return Alternative(
        rank=1, title="cheapest", table="T1", cost=Cost(2908, 978, 550, 1320, 0, 60), setup_s=640, cycle_s=36,
        stations=(Station(None, "-z", 0.0, SHIFT, Unload((), ("p4",), ())),),
        parts=tuple(PlacedPart(one.id, (_lying(index),), ("table",)) for index, one in enumerate(bars)),
        placements=pieces, part_contacts=(), welds=(), load=(), findings=(),
        kit=(KitLine("stop", 4, "A1"), KitLine("clamp", 1, "A1"), KitLine("riser", 1, "A1")), differs="",
    )  # fmt: skip


def _lying(index: int) -> Any:
    x = 135.0 + 200 * index
    frame = ((0.0, 0.0, 1.0, x), (1.0, 0.0, 0.0, 200.0), (0.0, 1.0, 0.0, 5.0), (0.0, 0.0, 0.0, 1.0))
    return Prism(((-25, -5), (25, -5), (25, 5), (-25, 5)), 0, 200, frame=frame)


def subject(changed: Alternative | None = None, request: Request | None = None) -> Subject:
    """What is drawn: the plan's one alternative, or another made of it."""
    return Subject(changed or alternative(), request or question(), stock())


def with_open_clamp() -> Subject:
    """The plan with a clamp that swings up when it is opened."""
    pieces = tuple(
        replace(piece, open_solids=(Prism(((-20, -20), (20, -20), (20, 20), (-20, 20)), 0, 90, frame=piece.solids[0].frame),))
        if piece.id == "p4"
        else piece
        for piece in alternative().placements
    )
    return subject(replace(alternative(), placements=pieces))
