"""No fixture above the table or with an arm costs less than the floor under its sort."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from solver.deadline import Deadline
from solver.hardware.lattice_positions import positions_of
from solver.hardware.raising import lifts_of
from solver.laying.lay_out import drawn_samples
from solver.planning import plan
from solver.position.floors.match_floors import MatchFloors
from solver.search.orientation import Orientation, items_of, orientations_of, with_every_arm
from solver.search.search import Search
from solver.search.sorts.carried_prices import arm_cents
from solver.search.sorts.sort_floors import armed_floor, armed_phases, raised_floors
from solver.sections import Section
from solver.weldment import Part, Pose
from tests import builders as b
from tests.solver.kinds.shop import vee
from tests.solver.kinds.test_special_pieces import ARMS, post_on_base
from tests.solver.search.drawn_shelves import opened_on_a_drawn_shelf

DRAWN = (0, 4, 6, 7)


def test_a_fixture_that_only_arms_give_costs_no_less_than_the_floor_under_arms() -> None:
    """Without an arm nothing reaches over the base plate: what plain pieces could do there says nothing of arms."""
    request = b.request(post_on_base(), alternatives=1)
    (found,) = plan(request, ARMS, deadline=Deadline(lambda: 60.0)).alternatives
    search = Search(request, ARMS, drawn_samples(request.weldment, request.rules)[0], Deadline(lambda: 60.0))
    search.open()
    floor = armed_floor(search, search.tried[0])
    assert floor is not None and 0 < floor <= found.cost.total_cents


def test_what_lies_in_v_blocks_costs_no_less_than_the_floor_above_the_table() -> None:
    """A V-block meets four needs with its two flanks; from which holes it does depends on its height."""
    tube = b.weldment(Part("rail", Section("round_tube", diameter=60, wall=3), 300, Pose((0, 0, 30), b.X, b.Z)))
    shelf = b.shelf((vee(), 2), (b.stop(), 4), (b.stop(height=120), 4), (b.down_clamp(high=200), 2))
    request = b.request(tube, alternatives=1)
    (found,) = plan(request, shelf, deadline=Deadline(lambda: 60.0)).alternatives
    assert "vee" in {line.item for line in found.kit}
    search = Search(request, shelf, drawn_samples(request.weldment, request.rules)[0], Deadline(lambda: 60.0))
    search.open()

    def heights(own: Orientation) -> list[float]:
        return list(lifts_of(items_of(request, shelf), own.laid, own.bounds.pitch, search.under))

    floors = [floor for own in search.tried for floor in raised_floors(search, own, heights(own)) if floor is not None]
    assert floors and 0 < min(floors) <= found.cost.total_cents


@pytest.mark.parametrize("seed", DRAWN)
def test_no_position_at_a_height_has_a_lower_floor_than_its_height(seed: int) -> None:
    search, seen = opened_on_a_drawn_shelf(seed), 0
    for orientation in list(search.tried):
        items = items_of(search.request, search.stock)
        lifts = list(lifts_of(items, orientation.laid, orientation.bounds.pitch, search.under))[:6]
        for lift, floor in zip(lifts, raised_floors(search, orientation, lifts), strict=True):
            lie = [replace(orientation.lie, lift=lift)]
            for there in orientations_of(search.request, search.stock, search.samples, lie, lambda: False, search.shelf):
                loose = there.bounds.ordered([replace(there.laid, any_order=True)])
                least = least_floor(there, loose)
                assert least == math.inf or (floor is not None and floor <= search.price.cents(least))
                seen += math.isfinite(least)
    assert seen


@pytest.mark.parametrize("seed", DRAWN)
def test_no_position_with_an_arm_has_a_lower_floor_than_its_sort(seed: int) -> None:
    search = opened_on_a_drawn_shelf(seed)
    for orientation in list(search.tried):
        shelf = search.shelf(orientation.bounds.pitch)
        if not shelf.arms:
            continue
        there = with_every_arm(search.request, search.stock, orientation, shelf, arm_cents(search.request, search.stock, shelf))
        least = least_floor(there, there.bounds.ordered([replace(there.laid, any_order=True)])) + there.premium
        floor = armed_floor(search, orientation)
        if least == math.inf:
            continue
        assert floor is not None and floor <= search.price.cents(least)
        assert armed_phases(search, orientation, search.price.cents(least) + 1) != []
        assert not armed_phases(search, orientation, floor - 2)


def least_floor(orientation: Orientation, bounds: MatchFloors) -> float:
    """Return the least floor of an orientation's lattice positions, cents; infinite if there is none."""
    phases, _ = positions_of(orientation.reach, orientation.laid, bounds.pitch, bounds.told_apart)
    return float(np.concatenate([*bounds.floors_at(phases), [np.inf]]).min())
