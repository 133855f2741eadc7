"""Joints pressed: what a motion that opens joints asks of the clamps."""

from __future__ import annotations

import pytest

from solver.model.families.from_start import together
from solver.model.families.on_demand.ring_joints import JointsPressed
from tests.solver.model import frame
from tests.solver.model.positions import Fixing, choice


def test_a_frame_pressed_both_ways_is_well() -> None:
    rows = Fixing.of(frame.problem(), together)
    assert rows.add(rows.on_demand(JointsPressed).broken(choice(frame.problem(), [*frame.stops(), *frame.clamps()]))) == 0


@pytest.mark.parametrize("place", [2, 3])
def test_a_tube_that_nothing_pushes_onto_its_joints_asks_for_a_clamp(place: int) -> None:
    rows, pressing = Fixing.of(frame.problem(), together), frame.clamps()
    lacking = [*frame.stops(), *(clamp for clamp in pressing if clamp != pressing[place])]
    assert rows.add(rows.on_demand(JointsPressed).broken(choice(frame.problem(), lacking))) == 1
    assert not rows.allows(lacking)
    assert rows.allows([*lacking, pressing[place]])


def test_a_frame_that_is_not_located_together_asks_for_nothing() -> None:
    rows = Fixing.of(frame.problem(), together)
    assert rows.add(rows.on_demand(JointsPressed).broken(choice(frame.problem(), frame.stops(tip=False)))) == 0


def test_what_was_asked_binds_no_choice_without_a_tip() -> None:
    rows = Fixing.of(frame.problem(), together)
    lacking = [*frame.stops(), *frame.clamps(pushing=False)]
    assert rows.add(rows.on_demand(JointsPressed).broken(choice(frame.problem(), lacking))) == 1
    assert not rows.allows(lacking)
    assert rows.allows([*frame.stops(tip=False), *frame.clamps(pushing=False)])
