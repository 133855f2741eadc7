"""Joints that ask for raised hardware or for a push from an end: tabs on tubes, low parts in front of a face, tubes in line."""

from __future__ import annotations

from dataclasses import replace
from random import Random

from inventory.stock import StockSnapshot
from solver.request import Request
from solver.weldment import Weld, Weldment
from tests import builders as b
from tests.oracle.jobs.joints import IN_FIXTURE, sharp_tube, tee
from tests.oracle.jobs.shops import priced, small_table

Job = tuple[Request, StockSnapshot]
EASY = {"hold.handling_n": 40.0}


def tab_on_tube(draw: Random) -> Weldment:
    """A tab lying on a tube, out over one of its sides, welded across one or both ends."""
    size, long = float(draw.choice((40, 50, 60))), float(draw.choice((60, 80, 100)))
    length = float(draw.choice((200, 300, 400)))
    at, low = float(draw.randint(10, int(length - long) - 10)), 5.0 - size / 2
    tab = b.plate("tab", (long, size / 2 - low + draw.choice((0, 40, 60))), 8, (at, low, size))
    half = size / 2 - 1
    welds = [
        Weld(f"w{k}", ("tube", "tab"), ((x, low, size), (x, half, size)), "fillet", leg=4, in_fixture=draw.choice(IN_FIXTURE))
        for k, x in enumerate((at, at + long), 1)
    ]
    return Weldment(
        (sharp_tube("tube", size, length, (0, 0, size / 2)), tab),
        tuple(draw.choice((welds, welds[:1], welds[1:], [], []))),
        "tab",
    )


def low_in_front(draw: Random) -> Weldment:
    """A flat bar lying along the foot of a tube's side, so that the side is reached only over the bar."""
    size, length = float(draw.choice((50, 60, 80))), float(draw.choice((160, 240, 320)))
    wide, thick, along = float(draw.choice((30, 50, 70))), 8.0, length - draw.choice((0, 0, 40))
    start = float(draw.choice((0, int(length - along))))
    bar = b.bar("bar", wide, thick, along, (start, -size / 2 - wide / 2, thick / 2))
    path = ((start + 5, -size / 2, thick), (start + along - 5, -size / 2, thick))
    weld = Weld("w1", ("tube", "bar"), path, "fillet", leg=4, in_fixture=draw.choice(IN_FIXTURE))
    return Weldment((sharp_tube("tube", size, length, (0, 0, size / 2)), bar), draw.choice(((weld,), ())), "bar before a tube")


def in_line(draw: Random) -> Weldment:
    """Two tubes, or two square bars, end to end."""
    size = float(draw.choice((30, 40, 50)))
    one, other = float(draw.choice((100, 160, 240))), float(draw.choice((100, 160)))
    if draw.random() < 0.5:
        parts = [sharp_tube("one", size, one, (0, 0, size / 2)), sharp_tube("other", size, other, (one, 0, size / 2))]
    else:
        parts = [b.bar("one", size, size, one, (0, 0, size / 2)), b.bar("other", size, size, other, (one, 0, size / 2))]
    path = ((one, 2 - size / 2, size), (one, size / 2 - 2, size))
    weld = Weld("w1", ("one", "other"), path, "butt", throat=3, in_fixture=draw.choice(IN_FIXTURE))
    return Weldment(tuple(parts), draw.choice(((weld,), ())), "in line")


def heavy_branch(draw: Random) -> Weldment:
    """A T whose long branch is the heavier part: what it stands against could take its place from it."""
    return replace(tee(draw, lengths=(80, 100, 120)), name="heavy branch")


def raised_shelf(draw: Random, size: float) -> StockSnapshot:
    """Low and tall stops, risers that bring a low stop to the top of a tube, an arm, slides and high clamps, few of each."""
    items = (
        (b.stop("stop", face=draw.choice((15, 20)), height=30), draw.choice((6, 7))),
        (b.stop("tall", face=15, height=75), draw.choice((0, 3))),
        (b.adjustable_stop("slide", travel=draw.choice((25, 45)), step=draw.choice((0, 0.5))), draw.choice((0, 2))),
        (b.riser("riser", height=size - 20), draw.choice((3, 5))),
        (b.arm("arm"), draw.choice((0, 2))),
        (b.rest("rest", height=size), draw.choice((0, 3))),
        (b.down_clamp("clamp", reach=draw.choice((45, 60)), high=130), 3),
        (b.down_clamp("long", reach=draw.choice((90, 105)), high=130), 2),
    )
    counted = ((priced(draw, item), count) for item, count in items if count)
    return b.shelf(*counted, tables=(small_table(draw, 12, 10, draw.choice((0, 0, 6))),))


def pushing_shelf(draw: Random) -> StockSnapshot:
    """Stops, slides and clamps that push from the side or press down."""
    items = (
        (b.stop("stop", face=draw.choice((15, 20)), height=draw.choice((30, 60))), 6),
        (b.adjustable_stop("slide", travel=25), draw.choice((0, 2))),
        (b.side_clamp("push", height=draw.choice((8, 15, 25))), 2),
        (b.down_clamp("clamp", reach=draw.choice((45, 60)), high=105), draw.choice((1, 2))),
    )
    counted = ((priced(draw, item), count) for item, count in items if count)
    return b.shelf(*counted, tables=(small_table(draw, 14, 10, draw.choice((0, 0, 6))),))


def raised_job(draw: Random) -> Job:
    """A tab on a tube, or a low part in front of a face, with hardware that can be raised."""
    weldment = draw.choice((tab_on_tube, tab_on_tube, low_in_front))(draw)
    return b.request(weldment, draw.choice((1, 10, 100)), EASY, alternatives=1), raised_shelf(
        draw, weldment.parts[0].section.width or 50.0
    )


def in_line_job(draw: Random) -> Job:
    """Two parts in line, with clamps that push."""
    return b.request(in_line(draw), draw.choice((1, 10, 100)), EASY, alternatives=1), pushing_shelf(draw)


def heavy_job(draw: Random) -> Job:
    """A heavy branch, with few stops."""
    return b.request(heavy_branch(draw), 10, EASY, alternatives=1), pushing_shelf(draw)
