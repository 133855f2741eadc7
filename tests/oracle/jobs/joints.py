"""Random small joints whose sides all run along the table's axes: tees and corners of tubes and bars, tabs, tubes in line."""

from __future__ import annotations

from dataclasses import replace
from random import Random

from inventory.shapes import Point3
from inventory.stock import StockSnapshot
from solver.request import Request
from solver.weldment import InFixture, Part, Weld, Weldment
from tests import builders as b
from tests.builders import X, Y
from tests.oracle.jobs.shops import few_stops

IN_FIXTURE: tuple[InFixture, ...] = ("full", "full", "tack", "none")


def sharp_tube(id: str, size: float, length: float, at: Point3, along: Point3 = X) -> Part:
    """A square tube with sharp corners."""
    part = b.tube(id, size, 3, length, at, along)
    return replace(part, section=replace(part.section, corner_radius=0.0))


def lying(draw: Random, id: str, size: float, height: float, length: float, at: Point3, along: Point3) -> Part:
    """A tube `size` square, or a flat bar `height` thick where that is less, lying on the table with its end's middle at `at`."""
    x, y = at[:2]
    if height < size:
        return b.bar(id, size, height, length, (x, y, height / 2), along)
    if draw.random() < 0.5:
        return sharp_tube(id, size, length, (x, y, size / 2), along)
    return b.tube(id, size, 3, length, (x, y, size / 2), along)


def tee(draw: Random, lengths: tuple[int, ...] = (160, 200, 240, 300, 400)) -> Weldment:
    """Two tubes or two bars of one height lying as a T or, with the branch flush with an end, as an L."""
    size = draw.choice((30, 40, 50))
    height = draw.choice((size, size, 8, 10))
    through, branch = float(draw.choice(lengths)), float(draw.choice((100, 140, 200, 260)))
    other = draw.choice((size, size, 40)) if height < size else size
    corner = draw.random() < 0.35
    start = draw.choice((0.0, through - other)) if corner else float(draw.randint(10, int(through) - other - 10))
    one = lying(draw, "through", size, height, through, (0, 0, 0), X)
    two = lying(draw, "branch", other, height, branch, (start + other / 2, size / 2, 0), Y)
    return Weldment((one, two), tuple(_upright_beads(draw, (start, start + other), size / 2, height)), name="tee")


def tee_job(draw: Random) -> tuple[Request, StockSnapshot]:
    """A T or an L with five stops, two clamps, few slides and some blocked holes."""
    weldment = tee(draw)
    stock = few_stops(draw, blocked=draw.randrange(0, 12), slides=draw.choice((0, 2, 4)))
    return b.request(weldment, alternatives=1, rules={"hold.handling_n": 40.0}), stock


def _upright_beads(draw: Random, xs: tuple[float, float], y: float, height: float) -> list[Weld]:
    """Beads down the upright corners of a branch; flat bars are welded across the top."""
    if height < 12:
        path = ((xs[0], y, height), (xs[1], y, height))
        return [Weld("w1", ("through", "branch"), path, "butt", throat=3, in_fixture=draw.choice(IN_FIXTURE))]
    inset = 6.0
    beads = [
        b.fillet(f"w{k}", ("through", "branch"), (x, y, inset), (x, y, height - inset), in_fixture=draw.choice(IN_FIXTURE))
        for k, x in enumerate(xs, 1)
    ]
    return draw.choice((beads, beads[:1], beads[1:], []))
