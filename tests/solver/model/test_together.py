"""Together: a stop at a tip locates the ring as one, and then no two locators face each other anywhere in it."""

from __future__ import annotations

from solver.model.families.from_start import located, opposed, together
from solver.position.locating_errors import locating_violations
from tests.solver.model import frame
from tests.solver.model.positions import Fixing

ALL = (located, opposed, together)


def test_a_tip_is_the_end_of_the_first_tube() -> None:
    rows = Fixing.of(frame.problem(), *ALL)
    assert rows.allows(frame.stops())
    assert not rows.allows(frame.stops(tip=False))


def test_only_pads_at_the_outside_of_a_corner_meet_a_tip() -> None:
    problem = frame.problem()
    (stops,) = problem.tip_stops
    assert stops and all(len(problem.candidates[stop].parts) == 2 for stop in stops)
    assert {problem.candidates[stop].stack.top.id for stop in stops} <= {"stop", "wide"}


def test_no_two_locators_face_each_other_across_a_ring_located_together() -> None:
    """The right tube's stops outside it instead of inside: they face those of the left tube, a frame away."""
    rows = Fixing.of(frame.problem(), *ALL)
    inside = [frame.at("stop", 360, y, 1) for y in (80, 240)]
    outside = [frame.at("stop", 440, y, 1) for y in (80, 240)]
    assert not rows.allows([*(stop for stop in frame.stops() if stop not in inside), *outside])


def test_a_ring_without_a_stop_at_a_tip_is_no_ring() -> None:
    """Stops outside both tubes, none of them at a tip: nothing lies between them."""
    rows = Fixing.of(frame.problem(), opposed, together)
    assert rows.allows([frame.at("stop", -40, 240, 3), frame.at("stop", 440, 240, 1)])
    assert not rows.allows([frame.at("stop", -40, 240, 3), frame.at("stop", 440, 240, 1), frame.at("wide", -40, 0, 0, 3)])


def test_a_ring_located_together_is_well_conditioned_as_one() -> None:
    assert locating_violations(frame.problem(), frame.stops()) == []
    weak = locating_violations(frame.problem(), frame.stops(tip=False))
    assert weak and all(entry.rule == "locate.condition_max" for entry in weak)
