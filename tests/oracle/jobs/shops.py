"""Shelves of a few items and small tables with some blocked holes, for jobs small enough to be searched through."""

from __future__ import annotations

from dataclasses import replace
from random import Random

from inventory.items import Item
from inventory.stock import StockSnapshot
from inventory.tables import Hole, Table
from tests import builders as b


def small_table(draw: Random, columns: int = 10, rows: int = 9, blocked: int = 0) -> Table:
    """A small table of 40 mm pitch, with so many holes blocked."""
    shut: frozenset[Hole] = frozenset((draw.randrange(columns), draw.randrange(rows)) for _ in range(blocked))
    return b.table("T1", columns=columns, rows=rows, blocked_holes=shut)


def priced(draw: Random, item: Item) -> Item:
    """The item at a day rate and a placing time of its own."""
    return replace(item, day_rate_cents=draw.randint(5, 90), place_s=draw.choice((20, 31, 45)))


def few_stops(draw: Random, stops: int = 5, clamps: int = 2, slides: int = 0, blocked: int = 0) -> StockSnapshot:
    """Fixed stops, slides and down clamps, just so many of each."""
    face = draw.choice((15, 20))
    counted = [
        (priced(draw, b.stop("stop", face=face)), stops),
        (
            priced(draw, b.adjustable_stop("slide", face=20, travel=draw.choice((15, 25, 45)), step=draw.choice((0, 0.5, 1)))),
            slides,
        ),
        (priced(draw, b.down_clamp("clamp", reach=draw.choice((45, 60)), high=105)), clamps),
    ]
    return b.shelf(*[(item, count) for item, count in counted if count], tables=(small_table(draw, blocked=blocked),))
