"""Opposed: no two locators face each other across a part, nor across parts that lie against each other."""

from __future__ import annotations

from solver.model.families.from_start import opposed
from tests import builders as b
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
