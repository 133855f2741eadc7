"""Long face: two points on the long side, one on the short."""

from __future__ import annotations

from functools import cache

from solver.model.families.from_start import located, long_face, spread
from solver.position.problem import Problem
from tests import builders as b
from tests.solver.model.positions import Fixing, facing, position, those
from tests.solver.model.small import across

WIDE = b.weldment(b.bar(width=90, thickness=20, length=240, at=(0, 0, 10)))
STEPPED = (
    (0.0, 0.0), (180.0, 0.0), (180.0, 100.0), (60.0, 100.0), (60.0, 260.0), (140.0, 260.0), (140.0, 340.0), (0.0, 340.0)
)  # fmt: skip


@cache
def wide_bar(ratio: float = 0.5) -> Problem:
    """A flat bar 240 x 90 along x on the table: two stops fit at its end."""
    return position(b.request(WIDE, rules={"locate.side_face_ratio": ratio}), b.shelf((b.stop(), 6)), (15, 20))


@cache
def stepped_plate(ratio: float = 0.45) -> Problem:
    """A plate 340 long with three faces that look along +x: 100, 160 and 80 mm long."""
    asked = b.request(b.weldment(b.outline_plate("stepped", STEPPED, 10)), rules={"locate.side_face_ratio": ratio})
    return position(asked, b.shelf((b.stop(), 6)), (35, 25))


def test_two_points_on_the_short_side_are_no_side() -> None:
    long, short = across(wide_bar()), those(wide_bar(), facing(-1, 0))
    rows = Fixing.of(wide_bar(), located, spread, long_face)
    assert len(short) == 2
    assert rows.allows([long[0], long[-1], short[0]])
    assert not rows.allows([*short, long[0]])
    assert Fixing.of(wide_bar(), located, spread).allows([*short, long[0]])


def test_a_shop_may_ask_for_less() -> None:
    """90 mm are three eighths of 240."""
    for ratio, stands in ((0.0, True), (0.37, True), (0.38, False)):
        problem = wide_bar(ratio)
        chosen = [*those(problem, facing(-1, 0)), across(problem)[0]]
        assert Fixing.of(problem, located, spread, long_face).allows(chosen) is stands, ratio


def test_one_of_the_two_outermost_points_stands_on_a_long_face() -> None:
    """Asked: 0.45 of 340, 153 mm. One in the middle face alone is long, and does not help where it is not outermost."""
    problem = stepped_plate()
    by_face: dict[str, list[int]] = {}
    for k in those(problem, facing(-1, 0)):
        by_face.setdefault(problem.candidates[k].meetings[0].face, []).append(k)
    (low, next_low), middle, (high, *_) = by_face["side:1"][:2], by_face["side:3"], by_face["side:5"]
    end = across(problem)[0]
    rows = Fixing.of(problem, located, long_face)
    assert not rows.allows([low, next_low, end])
    assert not rows.allows([low, high, end])
    assert not rows.allows([low, middle[0], high, end])
    assert rows.allows([low, middle[-1], end])
    assert rows.allows([low, next_low, middle[0], end])
    assert rows.allows([middle[0], high, end])
    assert Fixing.of(stepped_plate(0.0), located, long_face).allows([low, high, end])


def test_what_another_part_gives_stands_on_the_face_it_touches() -> None:
    """A bar 240 x 90 whose short end lies against a tube that goes in first: no long side of the bar."""
    bar = b.bar("bar", 90, 20, 240, at=(0, 0, 10))
    tube = b.tube("tube", 60, 5, length=500, at=(-30, -250, 30), along=b.Y)
    for ratio, long in ((0.5, False), (0.0, True)):
        asked = b.request(b.weldment(tube, bar), rules={"locate.side_face_ratio": ratio})
        problem = position(asked, b.shelf((b.stop(), 6)), (15, 20))
        (number,) = (k for k, group in enumerate(problem.groups) if group.part == 1 and group.normal[0] > 0.9)
        assert [(point.candidate, point.long) for point in problem.groups[number].points] == [(None, long)]
        rows = Fixing.of(problem, long_face)
        rows.program.row("fixed", [(rows.variables.side[number], 1)], 1)
        assert rows.allows([], others=True) is long
