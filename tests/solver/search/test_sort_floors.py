"""No fixture with an arm costs less than the floor under all that have one."""

from __future__ import annotations

from solver.deadline import Deadline
from solver.laying.lay_out import drawn_samples
from solver.planning import plan
from solver.search.search import Search
from solver.search.sort_floors import armed_floor, raised_floor
from solver.sections import Section
from solver.weldment import Part, Pose
from tests import builders as b
from tests.solver.kinds.shop import vee
from tests.solver.kinds.test_special_pieces import ARMS, post_on_base


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
    shelf = b.shelf((vee(), 2), (b.stop(height=120), 4), (b.down_clamp(high=200), 2))
    request = b.request(tube, alternatives=1)
    (found,) = plan(request, shelf, deadline=Deadline(lambda: 60.0)).alternatives
    assert "vee" in {line.item for line in found.kit}
    search = Search(request, shelf, drawn_samples(request.weldment, request.rules)[0], Deadline(lambda: 60.0))
    search.open()
    floors = [floor for orientation in search.tried if (floor := raised_floor(search, orientation)) is not None]
    assert floors and 0 < min(floors) <= found.cost.total_cents
