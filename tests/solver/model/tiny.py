"""Jobs so small that every fixture can be tried: one or two short parts, a small table, a few pieces of each kind."""

from __future__ import annotations

from dataclasses import replace
from random import Random

from inventory.stock import StockSnapshot
from solver.request import Request
from solver.rule_book.book import RuleBook
from tests import builders as b
from tests.properties.shops import sliding_stop, square
from tests.properties.weldments import a_weldment


def tiny_job(draw: Random) -> tuple[Request, StockSnapshot]:
    """Return a random tiny job: stops, slides, pins, squares, rests, risers and clamps, one to four pieces of each."""
    weldment = a_weldment(draw, draw.choice((1, 1, 1, 2)), (80, 120, 160))
    locating = [
        b.stop("stop", face=draw.choice((15, 20)), height=draw.choice((20, 60))),
        b.stop("other", face=draw.choice((12, 15, 25)), height=40, width=20),
        sliding_stop(travel=draw.choice((20, 45)), step=draw.choice((1, 5))),
        b.pin("pin", diameter=draw.choice((16, 20))),
        square(face=draw.choice((15, 20))),
        b.rest("rest", height=draw.choice((30, 40))),
        b.riser("riser", height=20),
    ]
    clamping = [
        b.down_clamp("clamp", reach=draw.choice((45, 60)), high=150),
        b.down_clamp("quick", reach=60, close_s=1, open_s=1),
    ]
    chosen = [*draw.sample(locating, draw.randint(2, 3)), *draw.sample(clamping, draw.randint(1, 2))]
    priced = [replace(item, day_rate_cents=draw.randint(5, 90), place_s=draw.choice((20, 31, 45))) for item in chosen]
    counted = ((item, draw.choice((1, 2, 3, 4)) if item.clamp is None else draw.choice((1, 2))) for item in priced)
    stock = b.shelf(*counted, tables=(b.table("T1", columns=8, rows=7),))
    rules = RuleBook({"weights.scarce": draw.choice((0, 0, 30))})
    request = Request(
        weldment, draw.choice((1, 5, 200)), ("T1",), turn=draw.choice(((0.0,), (90.0,))), rules=rules, alternatives=1,
        set_before=draw.random() < 0.2,
    )  # fmt: skip
    return request, stock


def tiny_pair(draw: Random) -> tuple[Request, StockSnapshot]:
    """Return a tiny job of two parts, a bar and another off its side or on top of it, that can mostly be held."""
    width, thickness, length = draw.choice((40, 60)), draw.choice((8, 10)), draw.choice((100, 120, 160))
    base = b.bar("base", width, thickness, length, at=(0, 0, thickness / 2))
    if draw.random() < 0.5:
        size, off = draw.choice((40, 50)), draw.choice((30, 50, 60))
        more = b.bar("more", size, thickness, draw.choice((80, 100)), at=(off, width / 2, thickness / 2), along=b.Y)
    else:
        over = draw.choice((50, 70))
        more = b.plate("more", (draw.choice((40, 60)), width + over), 8, at=(draw.choice((20, 30)), -width / 2, thickness))
    weldment = b.weldment(base, more)
    items = [
        b.stop("stop", face=draw.choice((15, 20)), height=draw.choice((30, 60))),
        draw.choice((sliding_stop(travel=45, step=5), sliding_stop(travel=45, step=5), square(face=15))),
        b.down_clamp("clamp", reach=draw.choice((45, 60)), high=150),
        b.down_clamp("quick", reach=60, close_s=1, open_s=1),
    ]
    priced = [replace(item, day_rate_cents=draw.randint(5, 90), place_s=draw.choice((20, 31, 45))) for item in items]
    counts = (draw.choice((3, 4, 6)), draw.choice((2, 3, 4)), 2, draw.choice((0, 1, 2)))
    stock = b.shelf(*zip(priced, counts, strict=True), tables=(b.table("T1", columns=9, rows=9),))
    return b.request(weldment, draw.choice((1, 5, 200)), alternatives=1), stock
