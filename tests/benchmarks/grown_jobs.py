"""Jobs that grow in one respect: frames of more bars, tables of more holes, shelves of more items.

A frame is two tubes side by side and rungs between them, five hole pitches apart; of two bars, a tube and one rung. Tables and
shelves are those of the shop, changed.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from inventory.items import Item
from inventory.shapes import Point2, Point3
from inventory.stock import StockSnapshot
from inventory.tables import Table
from solver.request import Request
from solver.rule_book.book import RuleBook
from solver.sections import Section
from solver.weldment import Part, Pose, Weld, Weldment
from tests.benchmarks.shop import SHOP

RAIL = 60.0
RAIL_LENGTH = 1200.0
RUNG = 50.0
RUNG_LENGTH = 240.0
FIRST = 100.0
SPACING = 200.0
TABLE = "T1"


def frame(bars: int) -> Request:
    """Return a request for a frame of so many bars, 2 to 8; each joint is tacked on top of the rung."""
    rails = 1 if bars == 2 else 2
    parts = [_bar(f"rail-{k + 1}", RAIL, RAIL_LENGTH, (0.0, RAIL / 2 + k * (RAIL + RUNG_LENGTH)), X) for k in range(rails)]
    welds: list[Weld] = []
    for k in range(bars - rails):
        x, rung = FIRST + k * SPACING, f"rung-{k + 1}"
        parts.append(_bar(rung, RUNG, RUNG_LENGTH, (x, RAIL), Y))
        welds += [_tack((f"rail-{rail + 1}", rung), x, RAIL + rail * RUNG_LENGTH) for rail in range(rails)]
    made = Weldment(tuple(parts), tuple(welds), name=f"frame of {bars} bars")
    return Request(made, 30, (TABLE,), turn=(0.0,), alternatives=1, rules=RuleBook({}))


def on_table(size: tuple[float, float], pitch: float) -> StockSnapshot:
    """Return the shop with a table of this size, mm, full of holes.

    Only pieces on one peg are left that hold nothing beside it: others fit one pitch of holes.
    """
    columns, rows = (int(side / pitch) - 1 for side in size)
    table = Table(TABLE, size, (pitch, pitch), pitch, columns, rows, hole_diameter=14.0, thickness=20.0)
    return replace(_shelf(item for item in SHOP.items.values() if _fits_any_pitch(item)), tables={TABLE: table})


def half_a_shelf() -> StockSnapshot:
    """Return the shop with every second item of the catalogue."""
    return _shelf(list(SHOP.items.values())[::2])


def near_copies() -> StockSnapshot:
    """Return the shop with every item twice: the second of another name, a cent a day dearer, as many of it."""
    copies = {f"{id}-b": replace(item, id=f"{id}-b", day_rate_cents=item.day_rate_cents + 1) for id, item in SHOP.items.items()}
    lines = {f"{id}-b": replace(line, item=f"{id}-b") for id, line in SHOP.lines.items()}
    return replace(SHOP, items={**SHOP.items, **copies}, lines={**SHOP.lines, **lines})


def holes(stock: StockSnapshot) -> int:
    """Return how many holes the table has."""
    return stock.tables[TABLE].columns * stock.tables[TABLE].rows


def _shelf(items: Iterable[Item]) -> StockSnapshot:
    kept = {item.id: item for item in items}
    return replace(SHOP, items=kept, lines={id: line for id, line in SHOP.lines.items() if id in kept})


def _fits_any_pitch(item: Item) -> bool:
    beside = () if item.carries is None else item.carries.pegs
    return {*item.pegs, *beside} == {(0, 0)}


def _bar(id: str, width: float, length: float, at: Point2, along: Point3) -> Part:
    """Return a square tube that lies on the table."""
    return Part(id, Section("square_tube", width=width, wall=3.0), length, Pose((*at, width / 2), along, (0.0, 0.0, 1.0)))


def _tack(parts: tuple[str, str], x: float, y: float) -> Weld:
    """Return a tack across the top of a rung, where it meets its rail."""
    return Weld("-".join(parts), parts, ((x - 20.0, y, RUNG), (x + 20.0, y, RUNG)), "fillet", leg=3.0, in_fixture="tack")


X: Point3 = (1.0, 0.0, 0.0)
Y: Point3 = (0.0, 1.0, 0.0)
