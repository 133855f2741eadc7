"""Opposed: no two locators face each other across a part, nor across parts that lie against each other."""

from __future__ import annotations

import math

import pytest

from solver.model.families.from_start import opposed
from solver.position.problem import Problem
from tests import builders as b
from tests.solver.kinds.test_holes import circle, drilled, round_pin
from tests.solver.model.positions import Fixing, facing, position, those
from tests.solver.model.small import BAR, across, bar, behind, ends


def test_no_two_stops_face_each_other_across_a_part() -> None:
    rows = Fixing.of(bar(), opposed)
    side, back = across(bar()), behind(bar())
    assert rows.allows([side[0], side[-1], ends(bar())[0]])
    assert rows.allows([back[0], back[-1]])
    for one in (side[0], side[-1]):
        for other in (back[0], back[-1]):
            assert not rows.allows([one, other])


def test_nor_across_parts_that_lie_against_each_other() -> None:
    """A leg runs off a base's +y side: a stop behind the base and one at the leg's far end would squeeze both."""
    base, leg = b.tube("base", 40, length=240, at=(0, 0, 20)), b.tube("leg", 40, length=120, at=(120, 20, 20), along=b.Y)
    stock = b.shelf((b.stop(), 6), (b.adjustable_stop(), 4), (b.down_clamp(), 4))
    problem = position(b.request(b.weldment(base, leg)), stock, (15, 5))
    behind_base = [k for k in those(problem, facing(0, 1)) if problem.candidates[k].parts == {0}]
    beyond_leg = [k for k in those(problem, facing(0, -1)) if problem.candidates[k].parts == {1}]
    rows = Fixing.of(problem, opposed)
    assert not rows.allows([behind_base[0], beyond_leg[0]])
    assert rows.allows([behind_base[0]])
    assert rows.allows([beyond_leg[0]])


def test_a_shop_may_allow_stops_face_to_face() -> None:
    stock = b.shelf((b.stop(), 4), (b.down_clamp(), 2))
    allowing = position(b.request(BAR, rules={"locate.opposed": 1}), stock, (15, 0))
    assert Fixing.of(allowing, opposed).allows([across(allowing)[0], behind(allowing)[0]])


def test_nor_across_a_chain_of_three_parts() -> None:
    """Three bars side by side, each against the next: a stop behind the first and one beyond the last squeeze all of them."""
    bars = [b.bar(f"bar{k}", 40, 20, 200, at=(30 * k, 40 * k, 10)) for k in range(3)]
    problem = position(b.request(b.weldment(*bars)), b.shelf((b.stop(), 6), (b.adjustable_stop(), 6)), (15, 5))
    before, beyond = (
        [k for k in those(problem, facing(0, way)) if problem.candidates[k].parts == {part}] for way, part in ((1, 0), (-1, 2))
    )
    rows = Fixing.of(problem, opposed)
    assert not rows.allows([before[0], beyond[0]])
    assert rows.allows([before[0], before[-1]])


def slanted(degrees: float) -> Problem:
    """A plate whose upper edge rises by so many degrees, slides at any turn around it."""
    rise = 200 * math.tan(math.radians(degrees))
    outline = ((0, 0), (200, 0), (200, 80 + rise), (0, 80))
    shelf = b.shelf((b.adjustable_stop(travel=40, step=0, turns="any"), 6))
    return position(b.request(b.weldment(b.outline_plate("wedge", outline, 20))), shelf, (15, 5))


@pytest.mark.parametrize(("degrees", "stands"), [(20, False), (25, False), (27, True), (40, True)])
def test_stops_on_the_sides_of_a_wedge_face_each_other_up_to_25_degrees(degrees: float, stands: bool) -> None:
    problem, turn = slanted(degrees), math.radians(degrees)
    below, above = those(problem, facing(0, 1)), those(problem, facing(math.sin(turn), -math.cos(turn)))
    assert Fixing.of(problem, opposed).allows([below[0], above[0]]) is stands


def test_a_pin_in_a_hole_faces_nothing() -> None:
    """A plate 200 x 120 with a round hole in its middle: a pin in it pushes back against a stop at the edge."""
    stock = b.shelf((b.stop(face=20), 4), (round_pin("dowel", both=True), 2))
    problem = position(b.request(drilled(circle(100, 60))), stock, (20, 20))
    edge = those(problem, facing(0, 1, "stop"))
    back = [k for k, c in enumerate(problem.candidates) if any(m.normal[1] < -0.95 and m.face[0] == "c" for m in c.meetings)]
    assert Fixing.of(problem, opposed).allows([edge[0], back[0]])
