"""Random two- and three-part jobs with welds at right angles, whose toes the test itself knows."""

from __future__ import annotations

from dataclasses import dataclass, replace
from random import Random

from inventory.shapes import Point3
from inventory.stock import StockSnapshot
from solver.request import Request
from solver.weldment import Part, Weld
from tests import builders as b
from tests.builders import X, Y, Z

LEFT: Point3 = (-1.0, 0.0, 0.0)


@dataclass(frozen=True)
class Job:
    """A request, the stock it is asked of, and for each weld the directions from its root along its first and second part."""

    request: Request
    stock: StockSnapshot
    toes: dict[str, tuple[Point3, Point3]]


def a_job(draw: Random) -> Job:
    """Return a base lying along x, with one or two tabs, lugs or legs welded to it, and a shelf that can hold most of them."""
    length = float(draw.choice((240, 300, 400, 500)))
    if draw.random() < 0.8:
        width = height = float(draw.choice((40, 50, 60)))
        flat = width / 2 - 6.0
        base = b.tube("base", width=width, wall=3, length=length, at=(0, 0, width / 2))
    else:
        width, height = float(draw.choice((50, 60, 80))), float(draw.choice((8, 10, 12)))
        flat = width / 2
        base = b.bar("base", width=width, thickness=height, length=length, at=(0, 0, height / 2))
    parts, welds, toes = [base], list[Weld](), dict[str, tuple[Point3, Point3]]()
    places = [60.0, length - 140.0] if draw.random() < 0.15 and length >= 400 else [float(draw.choice((40, 80, 120)))]
    for number, x in enumerate(places, start=1):
        kind = draw.choice(("tab", "tab", "tab", "lug", "lug", "leg") if height > 30 else ("tab", "tab", "lug"))
        part, beads = {"tab": _tab, "lug": _lug, "leg": _leg}[kind](draw, f"part{number}", x, flat, height, width)
        parts.append(part)
        for k, (path, along) in enumerate(beads, start=1):
            id = f"w{number}{k}"
            welds.append(b.fillet(id, ("base", part.id), *path, leg=draw.choice((3.0, 4.0))))
            toes[id] = along
    rules = {"hold.friction": draw.choice((0.1, 0.15, 0.3)), "hold.handling_n": draw.choice((40.0, 70.0, 100.0))}
    stock = a_shelf(draw)
    asked = b.request(
        b.weldment(*parts, welds=welds), draw.choice((5, 40, 300)), rules, alternatives=2, turn=(draw.choice((0.0, 90.0)),)
    )
    return Job(asked, stock, toes)


Beads = list[tuple[tuple[Point3, Point3], tuple[Point3, Point3]]]


def _tab(draw: Random, id: str, x: float, flat: float, height: float, width: float) -> tuple[Part, Beads]:
    """A plate lying on top, out over the +y side, welded across one or both ends."""
    long, over = float(draw.choice((60, 80))), float(draw.choice((20, 40) if height > 30 else (10, 20)))
    part = b.plate(id, (long, flat + width / 2 + over), draw.choice((6.0, 8.0)), (x, -flat, height))
    ends: Beads = [(((at, -flat, height), (at, flat, height)), (away, Z)) for at, away in ((x, LEFT), (x + long, X))]
    return part, ends if draw.random() < 0.3 else ends[:1]


def _lug(draw: Random, id: str, x: float, flat: float, height: float, width: float) -> tuple[Part, Beads]:
    """A plate standing across the base and out over both its sides, welded on one or both faces."""
    thick, tall, half = float(draw.choice((8, 12))), float(draw.choice((50, 80))), width / 2 + 35.0
    outline = ((-half, 0.0), (half, 0.0), (half, tall), (-half, tall))
    lying = b.outline_plate(id, outline, thick)
    part = replace(lying, pose=replace(lying.pose, at=(x, 0.0, height), along=X, up=Z))
    sides: Beads = [(((at, -flat, height), (at, flat, height)), (away, Z)) for at, away in ((x, LEFT), (x + thick, X))]
    return part, sides if draw.random() < 0.3 else sides[1:]


def _leg(draw: Random, id: str, x: float, flat: float, height: float, width: float) -> tuple[Part, Beads]:
    """A tube of the base's size running off its +y side along the table, welded down its upright edges."""
    y, long = width / 2, float(draw.choice((120, 200)))
    part = b.tube(id, width=width, wall=3, length=long, at=(x + width / 2, y, height / 2), along=Y)
    part = replace(part, section=replace(part.section, corner_radius=0.0))
    low, high = height / 2 - flat, height / 2 + flat
    edges: Beads = [(((at, y, low), (at, y, high)), (away, Y)) for at, away in ((x, LEFT), (x + width, X))]
    return part, edges if draw.random() < 0.3 else edges[:1]


def a_shelf(draw: Random) -> StockSnapshot:
    """Return stops, rests and clamps whose forces and stiffnesses are drawn."""
    force = float(draw.choice((700, 1200, 2000)))
    items = (
        (b.stop(stiffness_n_per_mm=draw.choice((2000, 8000, 30000))), 8),
        (b.stop("stop-20", face=20), 8),
        (b.adjustable_stop(stiffness_n_per_mm=draw.choice((3000, 15000))), 6),
        (b.adjustable_stop("low-adjustable", height=30), 4),
        (b.adjustable_stop("tall-adjustable", height=130, stiffness_n_per_mm=draw.choice((1500, 9000))), 6),
        (b.stop("tall", height=130), 6),
        *((b.rest(f"rest-{height}", height=height), 4) for height in (8, 10, 12, 40, 50, 60)),
        (b.down_clamp(force_n=force), 6),
        (b.down_clamp("long-clamp", reach=120, force_n=force * 0.8, high=160), 4),
        (b.side_clamp(force_n=force * 0.7), 3),
    )
    return b.shelf(*items)
