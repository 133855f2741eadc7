"""Tiny jobs with stacks, arms, pins in holes and slots, V-blocks and settings, one trait each."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from random import Random

from inventory.items import Contact, Item, Slide
from inventory.stock import StockSnapshot
from solver.request import Request
from solver.sections import Section
from solver.weldment import OpenDimension, Part, Pose, Weldment
from tests import builders as b
from tests.properties.shops import sliding_stop
from tests.solver.kinds.shop import vee
from tests.solver.kinds.test_holes import circle, drilled, round_pin

Counted = tuple[Item, int]


def tiny_stack(draw: Random) -> tuple[Request, StockSnapshot]:
    """Return an angle on the tip of one leg, the other leg on rests: alone, on a riser or set to height; clamps on risers too."""
    tip, thickness = draw.choice((30, 40, 45)), draw.choice((5, 6))
    section = Section("angle", leg_a=draw.choice((50, 60)), leg_b=tip, thickness=thickness)
    hanging = Part("angle", section, draw.choice((100, 140)), Pose((0, 0, tip), b.X, (0, 0, -1)))
    under = tip - thickness
    rests = [(b.rest("rest", height=draw.choice((under, under, 15))), 2), (b.rest("low-rest", height=under - 20), 2)]
    screw = (_screw_rest(draw.choice((under - 5, under - 3.5, under - 8)), draw.choice((0.5, 1, 2.5))), 2)
    clamps = [(b.down_clamp("clamp", reach=draw.choice((45, 60)), low=5, high=draw.choice((24, 30, 60))), 1)]
    riser = (b.riser("riser", height=20), draw.choice((1, 2, 3)))
    stops = [(b.stop("stop", face=draw.choice((15, 20)), height=60), 3)]
    more = draw.choice(([riser], [riser], [screw], [riser, screw]))
    return _asked(draw, b.weldment(hanging), [*stops, draw.choice(rests), *clamps, *more])


def _screw_rest(low: float, step: float) -> Item:
    solids = (b.box(-12, -12, 12, 12, 0, low - 4), b.box(-10, -10, 10, 10, low - 4, low, moves=True))
    pad = Contact((0, 0, low), b.Z, 20, 20, moves=True)
    return b._item("screw-rest", "rest", solids, (pad,), slide=Slide((0, 0, 1), 0, 10, step), set_s=40)


def tiny_arm(draw: Random) -> tuple[Request, StockSnapshot]:
    """Return a post on a base plate that is wide all round it, reached by stops on arms on risers, or by a long nose."""
    size, off = draw.choice((140, 140, 140, 145)), 40
    section = Section("flat_bar", width=draw.choice((55, 60)), thickness=60)
    post = Part("post", section, draw.choice((70, 90)), Pose((off + 30, off + 30, 10), b.Z, b.Y))
    weldment = b.weldment(b.plate("base", (size, size), 10), post)
    nose_solids = (b.box(-14, -14, 14, 14, 0, 75), b.box(-14, 14, 14, 100, 60, 75))
    nose = b._item("nose", "stop", nose_solids, (Contact((0, 100, 67.5), b.Y, 28, 15),))
    items = [
        (b.stop("stop", face=20), 6),
        (b.riser("riser", height=draw.choice((20, 40))), draw.choice((2, 3, 3))),
        (b.arm("arm"), draw.choice((2, 3, 3))),
        (b.down_clamp("tall", reach=draw.choice((60, 70)), low=40, high=230), 1),
    ]
    return _asked(draw, weldment, [*items, (nose, draw.choice((0, 1, 2)))], adjust=False)


def tiny_pins(draw: Random) -> tuple[Request, StockSnapshot]:
    """Return a drilled or slotted plate, dowels and pins, perhaps a stop too."""
    x = draw.choice((140, 150, 160))
    y = draw.choice((60, 60, 50))
    slot = ((x - 10.0, y - 8.01), (x + 10.0, y - 8.01), (x + 10.0, y + 8.01), (x - 10.0, y + 8.01))
    second = draw.choice((circle(x, y), slot, circle(x, y, diameter=16.6)))
    items: list[Counted] = [
        (round_pin("dowel", both=True), draw.choice((1, 1, 2))),
        (round_pin("pin", both=False), draw.choice((0, 1, 2))),
        (b.down_clamp("clamp"), 1),
        (b.stop("stop", face=draw.choice((15, 20))), draw.choice((0, 1, 2))),
    ]
    return _asked(draw, drilled(circle(40, 60), second), items)


def tiny_vee(draw: Random) -> tuple[Request, StockSnapshot]:
    """Return a round bar or tube to be laid in V-blocks of one or two heights, alone or on risers, against a stop."""
    diameter = draw.choice((40, 50, 60))
    section = draw.choice((Section("round_bar", diameter=diameter), Section("round_tube", diameter=diameter, wall=4)))
    rail = Part("rail", section, draw.choice((120, 160, 200)), Pose((0, 0, diameter / 2), draw.choice((b.X, b.Y)), b.Z))
    items: list[Counted] = [
        (vee("vee"), draw.choice((1, 2, 2))),
        (vee("other", flank=12, height=35), draw.choice((0, 0, 1, 2))),
        (b.stop("stop", face=draw.choice((15, 20)), height=90), draw.choice((0, 1, 2))),
        (b.adjustable_stop("slide", step=5, height=90), draw.choice((0, 1))),
        (b.riser("riser", height=20), draw.choice((0, 2))),
        (b.down_clamp("clamp", reach=draw.choice((50, 60)), high=180), 1),
    ]
    return _asked(draw, b.weldment(rail), items)


def tiny_open(draw: Random) -> tuple[Request, StockSnapshot]:
    """Return a bar one of whose dimensions is open, with stops that slide in increments, and stops that do not."""
    reach = draw.choice((2, 5, 10))
    along, size = draw.choice(((b.X, (120, 160)), (b.Y, (40, 60))))
    bar = b.bar("bar", draw.choice(size if along == b.Y else (40, 60)), 20, draw.choice((120, 160)), (0, 25, 10))
    weldment = b.weldment(bar, open_dimensions=(OpenDimension("bar", along, -reach, draw.choice((0, reach))),))
    items: list[Counted] = [
        (b.stop("stop", face=draw.choice((15, 20)), height=18), 3),
        (sliding_stop("slide", travel=draw.choice((15, 25, 45)), step=draw.choice((0.5, 1, 5)), height=40), draw.choice((1, 2))),
        (b.adjustable_stop("other", travel=25, step=2.5, height=40), draw.choice((0, 1))),
        (b.down_clamp("clamp", reach=draw.choice((45, 60))), 1),
    ]
    return _asked(draw, weldment, items)


def _asked(draw: Random, weldment: Weldment, counted: Sequence[Counted], adjust: bool = True) -> tuple[Request, StockSnapshot]:
    """Return the request for a small run on a small table; every piece gets a price of its own."""
    priced = [
        (replace(item, day_rate_cents=draw.randint(5, 90), place_s=draw.choice((20, 31, 45))), count) for item, count in counted
    ]
    table = b.table("T1", columns=9, rows=9, pitch=40)
    quantity = draw.choice((1, 5, 200)) if adjust else 5
    return b.request(weldment, quantity, alternatives=1), b.shelf(*priced, tables=[table])


TRAITS = (tiny_stack, tiny_arm, tiny_pins, tiny_vee, tiny_open)
