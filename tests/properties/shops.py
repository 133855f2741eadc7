"""Random small shops: one or two tables, a shelf of three to eight invented items, and requests that use them."""

from __future__ import annotations

import math
from dataclasses import replace
from random import Random
from typing import Any

from inventory.items import Contact, Item, Solid
from inventory.shapes import Prism
from inventory.stock import StockSnapshot
from inventory.tables import Table
from solver.request import Request, Without
from solver.rule_book.book import RuleBook
from solver.weldment import Weldment
from tests import builders as b

ROOT = math.sqrt(0.5)


def square(id: str = "square", face: float = 20, height: float = 60, **more: Any) -> Item:
    """An angle block: two faces at a right angle, `face` ahead of the peg along +y and along +x."""
    solids = (b.box(-15, -15, face, face - 10, 0, height), b.box(-15, -15, face - 10, face, 0, height))
    pads = (
        Contact(((face - 25) / 2, face, height / 2), b.Y, 20, height),
        Contact((face, (face - 25) / 2, height / 2), b.X, 20, height),
    )
    base = b.stop(id, **more)
    return replace(base, kind="square", solids=solids, contacts=pads)


def sliding_stop(id: str = "slide", travel: float = 55, height: float = 60, step: float = 0.5, **more: Any) -> Item:
    """A stop whose face slides 16 to 16 + `travel` ahead of its peg and reaches from just above the table up to `height`."""
    base = b.adjustable_stop(id, face=16, travel=travel, step=step, **more)
    solids = (b.box(-15, -15, 15, 10, 0, height), b.box(-14, 0, 14, 16, 2, height, moves=True))
    return replace(base, solids=solids, contacts=(Contact((0, 16, (height + 2) / 2), b.Y, 28, height - 2, moves=True),))


def vee(id: str = "vee", **more: Any) -> Item:
    """A V-block with its groove along x, its bottom 20 above the table."""
    outline = ((-34.0, 0.0), (34.0, 0.0), (34.0, 50.0), (30.0, 50.0), (0.0, 20.0), (-30.0, 50.0), (-34.0, 50.0))
    body = Prism(outline, -15, 15, frame=((0, 0, 1, 0), (1, 0, 0, 0), (0, 1, 0, 0), (0, 0, 0, 1)))
    flanks = tuple(Contact((0, s * 15, 35), (0, -s * ROOT, ROOT), 30, 40) for s in (1, -1))
    return replace(b.rest(id, **more), kind="vee", solids=(Solid(body),), contacts=flanks)


def a_shelf(draw: Random, tables: tuple[Table, ...]) -> StockSnapshot:
    """Return a few counted items; most shelves hold something that locates and something that clamps."""
    face = draw.choice((12.0, 15.0, 17.5, 20.0))
    locating = [
        b.stop("stop", face=face, height=draw.choice((20, 40, 60))),
        b.adjustable_stop("slide", travel=draw.choice((10, 25, 40, 55, 55)), step=draw.choice((0, 0.5, 1))),
        b.pin("pin", diameter=draw.choice((12, 20)), height=draw.choice((30, 60))),
        square("square", face=face),
        b.stop("low", face=draw.choice((15.0, 25.0)), height=8, width=40),
    ]
    clamping = [
        b.down_clamp("clamp", reach=draw.choice((40, 60, 75)), high=draw.choice((60, 105, 240))),
        b.down_clamp("long", reach=120, high=160, close_s=6, open_s=5, day_rate_cents=10),
        b.side_clamp("push", height=draw.choice((8, 15, 25))),
    ]
    other = [
        b.rest("rest", height=draw.choice((10, 40, 50))), b.riser("riser", height=draw.choice((20, 40))),
        b.arm("arm"), vee("vee"),
    ]  # fmt: skip
    generous = draw.random()
    if generous < 0.7:
        locating[1] = sliding_stop(height=draw.choice((40, 60, 100, 160)))
        chosen = [*locating[:2], *clamping[:2], other[0]]
        chosen += [item for item in (*locating, *clamping, *other) if item not in chosen and draw.random() < 0.3]
    elif generous < 0.9:
        chosen = [draw.choice(locating[:2]), draw.choice(clamping[:2])]
        chosen += [item for item in (*locating, *clamping, *other) if item not in chosen and draw.random() < 0.3]
    else:
        chosen = draw.sample([*locating, *clamping, *other], draw.randint(1, 6))
    priced = [replace(item, day_rate_cents=draw.choice((10, 20, 35, 80)), place_s=draw.choice((20, 30, 45))) for item in chosen]
    return b.shelf(*((item, draw.choice((2, 6, 12, 12))) for item in priced), tables=tables)


def a_shop(draw: Random) -> StockSnapshot:
    """Return tables and a shelf."""
    first = b.table("T1", columns=draw.choice((14, 24, 24)), rows=draw.choice((8, 16, 16)), pitch=draw.choice((40, 50)))
    tables = [first]
    if draw.random() < 0.25:
        tables.append(b.table("T2", columns=20, rows=10, pitch=draw.choice((30, 40, 50))))
    if draw.random() < 0.2:
        blocked = frozenset((draw.randrange(14), draw.randrange(8)) for _ in range(6))
        tables[0] = replace(first, blocked_holes=blocked)
    return a_shelf(draw, tuple(tables))


def a_request(draw: Random, weldment: Weldment, stock: StockSnapshot, **more: Any) -> Request:
    """Return a request for a weldment on one or all of the shop's tables."""
    rules: dict[str, float] = {}
    if draw.random() < 0.2:
        rules["weights.scarce"] = 40
    if draw.random() < 0.2:
        rules["clear.body"] = 3
    if draw.random() < 0.1:
        rules["torch.travel_angle"] = 5
    without = Without({draw.choice(sorted(stock.items)): 1}) if draw.random() < 0.15 else Without()
    asked: dict[str, Any] = {
        "tables": tuple(sorted(stock.tables)),
        "turn": draw.choice(((0.0,), (0.0,), (90.0,), (0.0, 90.0), (0.0,), (0.0, 90.0, 180.0, 270.0), (180.0,), (30.0,))),
        "down": draw.choice((("-z",), ("-z",), ("-z",), ("-z",), ("-z",), ("-z",), ("-z",), ("+z",), ("-y",), ("-z", "+z"))),
        "set_before": draw.random() < 0.2,
        "shortage": "price" if draw.random() < 0.15 else "refuse",
        "without": without,
        "alternatives": draw.choice((1, 2, 3)),
        "seed": draw.randint(0, 5),
        **more,
    }
    return Request(weldment, draw.choice((1, 2, 10, 300)), rules=RuleBook(rules), **asked)
