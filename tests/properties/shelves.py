"""Five shops, from a poor one to a rich one: each has one table, and a shelf drawn once, by a seed of its own."""

from __future__ import annotations

import math
from dataclasses import replace
from functools import cache
from random import Random

from inventory.items import Contact, Item, Slide, Solid
from inventory.shapes import Prism
from inventory.stock import StockSnapshot
from tests import builders as b
from tests.properties.seats import SIDES
from tests.properties.shops import sliding_stop, square, vee

SHOPS = 5
PITCHES = (40, 50, 40, 30, 40)


@cache
def shop(number: int) -> StockSnapshot:
    """Return one of the five shops; 0 is the poorest."""
    draw = Random(700 + number)
    items = [item for least, item in _catalogue(draw, PITCHES[number]) if least <= number]
    priced = [replace(item, day_rate_cents=draw.choice((10, 20, 35)), place_s=draw.choice((20, 30, 45))) for item in items]
    least = (6, 8, 12, 16, 24)[number]
    return b.shelf(
        *((item, draw.randint(least, least + 4)) for item in priced),
        tables=(b.table("T1", columns=24, rows=16, pitch=PITCHES[number]),),
    )


def _catalogue(draw: Random, pitch: float) -> list[tuple[int, Item]]:
    """Return the hardware there is, each with the poorest shop that has it."""
    travel = pitch + draw.choice((5, 10, 15))
    return [
        (0, b.stop("stop", face=draw.choice((15, 20)), height=draw.choice((40, 60)))),
        (0, sliding_stop("slide", travel=travel, height=60)),
        (0, b.down_clamp("clamp", reach=60, high=105)),
        (0, nose("nose-42", travel, 42, 80)),
        (1, hook("hook-42", travel, 42, 80)),
        (1, nose("nose-62", travel, 62, 130)),
        (1, hook("hook-62", travel, 62, 130)),
        (1, b.down_clamp("long-clamp", reach=120, high=160, close_s=6, open_s=5)),
        (2, nose("nose-14", travel, 14, 60)),
        (2, hook("hook-14", travel, 14, 60)),
        (2, b.down_clamp("tall-clamp", reach=draw.choice((60, 75)), low=60, high=240)),
        (3, b.rest("rest", height=draw.choice((40, 50, 60)))),
        (3, dowel("dowel", 16)),
        (3, b.side_clamp("push", height=draw.choice((8, 15)))),
        (3, b.down_clamp("tall-long", reach=120, low=60, high=260)),
        (4, b.pin("pin", diameter=draw.choice((12, 20)), height=60)),
        (4, vee("vee")),
        (4, square("square", face=draw.choice((15, 20)))),
        (4, b.riser("riser", height=draw.choice((40, 60)))),
        (4, b.arm("arm", pitch=pitch)),
    ]  # fmt: skip


def nose(id: str, travel: float, low: float, high: float) -> Item:
    """A stop whose nose reaches out over what lies in front of it, 30 to 30 + `travel` ahead of its peg."""
    solids = (b.box(-15, -15, 15, 10, 0, high), b.box(-10, 0, 10, 30, low, high, moves=True))
    pad = Contact((0, 30, (low + high) / 2), b.Y, 20, high - low, moves=True)
    return replace(b.adjustable_stop(id, travel=travel), solids=solids, contacts=(pad,))


def hook(id: str, travel: float, low: float, high: float) -> Item:
    """A stop whose nose reaches 85 ahead over what lies in front of it and slides sideways; it locates with both its flanks."""
    solids = (b.box(-15, -15, 15, 15, 0, low - 1), b.box(-10, -15, 10, 95, low, high, moves=True))
    middle = (low + high) / 2
    pads = tuple(Contact((side * 10, 55, middle), (side, 0.0, 0.0), 80, high - low, moves=True) for side in (1.0, -1.0))
    base = b.adjustable_stop(id, travel=travel)
    return replace(base, solids=solids, contacts=pads, slide=Slide((1.0, 0.0), 0, travel, 0.5))


def dowel(id: str, diameter: float) -> Item:
    """A pin that fills a round hole and locates in it both ways."""
    radius = diameter / 2
    around = radius / math.cos(math.pi / SIDES)
    turns = [(k + 0.5) * 2 * math.pi / SIDES for k in range(SIDES)]
    ring = tuple((around * math.cos(turn), around * math.sin(turn)) for turn in turns)
    pads = (Contact((radius, 0, 20), b.X, 1, 40), Contact((0, radius, 20), b.Y, 1, 40))
    base = b.pin(id)
    return replace(base, turns=b.SQUARE_TURNS, solids=(Solid(Prism(ring, 0, 40)),), contacts=pads)
