"""Located and spread: a side with two points wide apart, an end, and a centre of gravity inside the supports."""

from __future__ import annotations

import numpy as np

from solver.model.families.from_start import located, spread
from tests import builders as b
from tests.properties.shops import sliding_stop
from tests.solver.model.positions import Fixing, position, those
from tests.solver.model.small import across, bar, behind, ends


def test_a_side_needs_two_points_and_an_end_one_more() -> None:
    rows = Fixing.of(bar(), located)
    side, end = across(bar()), ends(bar())[0]
    assert rows.allows([side[0], side[-1], end])
    assert not rows.allows([side[0], side[-1]])
    assert not rows.allows([side[0], end])
    assert not rows.allows([])


def test_opposite_stops_are_no_side() -> None:
    assert not Fixing.of(bar(), located).allows([across(bar())[0], behind(bar())[0], ends(bar())[0]])


def test_side_points_stand_wide_apart() -> None:
    """The bar is 240 long: from edge to edge of their pads its side points stand 120 apart at least."""
    rows = Fixing.of(bar(), located, spread)
    side, end = across(bar()), ends(bar())[0]
    patches = {k: bar().candidates[k].meetings[0].patch[:, 0] for k in side}
    verdicts = set()
    for one in side:
        for other in side:
            if one < other:
                span = np.ptp(np.concatenate([patches[one], patches[other]]))
                verdicts.add(span >= 120)
                assert rows.allows([one, other, end]) == (span >= 120), span
    assert verdicts == {True, False}


def test_exactly_wide_enough_is_wide_enough() -> None:
    """A side that is carried by another part over exactly half the length: 40 mm of a tube 80 long."""
    base, short = b.tube("base", 40, length=150, at=(40, 15, 20), along=b.Y), b.tube("short", 30, length=80, at=(0, 0, 15))
    stock = b.shelf((b.stop(width=20), 4), (sliding_stop(travel=45), 4), (b.down_clamp(high=150), 4))
    problem = position(b.request(b.weldment(short, base), rules={"locate.pad_share": 0}), stock, (15, 20))
    assert any(group.part == 0 and abs(group.normal[1]) == 1 and group.spacing == 40 for group in problem.groups)
    assert Fixing.of(problem, located, spread).allows([], others=True)


def test_the_centre_of_gravity_lies_inside_the_supports() -> None:
    """A plate 200 x 160 raised on rests: two under one end let it tip, four under its corners or one under the middle hold it."""
    stock = b.shelf((b.rest(height=40), 4), (b.stop(height=60), 4), (b.down_clamp(), 2))
    problem = position(b.request(b.weldment(b.plate(size=(200, 160), thickness=8))), stock, (25, 25), lift=40)
    rests = those(problem, lambda candidate: candidate.stack.top.kind == "rest")
    stops = those(problem, lambda candidate: candidate.stack.top.kind == "stop")
    at = {k: problem.candidates[k].meetings[0].at[:2] - problem.laid.parts[0].centre[:2] for k in rests}
    left = [k for k in rests if at[k][0] < -30]
    corners = [max(rests, key=lambda k: float(at[k] @ np.array(sign))) for sign in ((1, 1), (1, -1), (-1, 1), (-1, -1))]
    rows = Fixing.of(problem, located)
    assert len(left) >= 2
    assert not rows.allows([*left, *stops])
    assert rows.allows([*dict.fromkeys(corners), *stops])
