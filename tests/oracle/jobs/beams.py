"""Beams longer than their table, with a plate or a saddle on top, and shelves that can hold them."""

from __future__ import annotations

from random import Random

from inventory.stock import StockSnapshot
from inventory.tables import Table
from solver.request import Request
from solver.weldment import Weld, Weldment
from tests import builders as b
from tests.oracle.jobs.joints import IN_FIXTURE, sharp_tube
from tests.oracle.jobs.shops import priced


def short_table(blocked: frozenset[tuple[int, int]] = frozenset()) -> Table:
    """A table of 800 x 600 mm with a 40 mm lattice."""
    return b.table("T1", columns=19, rows=14, blocked_holes=blocked)


def beam(
    length: float, at: float, size: float = 50.0, long: float = 120.0, across: float = 130.0, welds: bool = True
) -> Weldment:
    """A square tube along x with a level saddle plate on top, `long` along it from `at`, `across` wide over its middle."""
    saddle = b.plate("saddle", (long, across), 8, (at, -across / 2, size))
    half = size / 2 - 1
    ends = [b.fillet(f"w{k}", ("beam", "saddle"), (x, -half, size), (x, half, size)) for k, x in enumerate((at, at + long), 1)]
    return Weldment((sharp_tube("beam", size, length, (0, 0, size / 2)), saddle), tuple(ends if welds else ()), name="beam")


def a_beam(draw: Random) -> Weldment:
    """A beam of 1.0 to 1.9 times its table's length with a plate or a saddle somewhere on it."""
    length = float(round(800 * draw.uniform(1.0, 1.9), -1))
    long, across = float(draw.choice((60, 80, 120, 160))), float(draw.choice((50, 100, 130)))
    size = float(draw.choice((40, 50, 60)))
    at = float(draw.choice((draw.randint(20, int(length - long) - 20), int(length / 2 - long / 2))))
    found = beam(length, at, size, long, max(across, size), welds=False)
    half = size / 2 - 1
    welds = [
        Weld(
            f"w{k}", ("beam", "saddle"), ((x, -half, size), (x, half, size)), "fillet", leg=4, in_fixture=draw.choice(IN_FIXTURE)
        )
        for k, x in enumerate((at, at + long), 1)
    ]
    return Weldment(found.parts, tuple(draw.choice((welds, welds[:1], []))), name="beam")


def beam_shelf(draw: Random, table: Table) -> StockSnapshot:
    """Stops of two faces, tall stops, slides, down clamps short and long."""
    items = (
        (b.stop("stop", face=draw.choice((15, 20)), height=30), 6),
        (b.stop("tall", face=draw.choice((15, 20)), height=75), 6),
        (b.adjustable_stop("slide", travel=draw.choice((15, 25, 45)), height=75), draw.choice((0, 4, 4, 5))),
        (b.down_clamp("clamp", reach=60, high=105), 6),
        (b.down_clamp("long-clamp", reach=120, high=160), 3),
    )
    return b.shelf(*((priced(draw, item), count) for item, count in items if count), tables=(table,))


def beam_job(draw: Random) -> tuple[Request, StockSnapshot]:
    """A beam on a table that is too short for it."""
    weldment = a_beam(draw)
    stock = beam_shelf(draw, short_table())
    return b.request(weldment, draw.choice((1, 10, 100)), {"hold.handling_n": 40.0}, alternatives=1), stock


def long_beam_job(draw: Random) -> tuple[Request, StockSnapshot]:
    """A beam of 1,400 mm with a saddle, on a table of 800 x 600 mm."""
    at = float(draw.choice((20, 100, 300, 500, 640, 700, 900, 1100, 1240)))
    across, size = float(draw.choice((100, 130, 160))), float(draw.choice((40, 50, 60)))
    weldment = beam(1400.0, at, size, 120.0, across, welds=draw.random() < 0.5)
    stock = beam_shelf(draw, short_table())
    return b.request(weldment, 10, {"hold.handling_n": 40.0}, alternatives=1), stock
