"""No fixture with an arm costs less than the floor under all that have one."""

from __future__ import annotations

from solver.deadline import Deadline
from solver.laying.lay_out import drawn_samples
from solver.planning import plan
from solver.search.search import Search
from solver.search.sort_floors import armed_floor
from tests import builders as b
from tests.solver.kinds.test_special_pieces import ARMS, post_on_base


def test_a_fixture_that_only_arms_give_costs_no_less_than_the_floor_under_arms() -> None:
    """Without an arm nothing reaches over the base plate: what plain pieces could do there says nothing of arms."""
    request = b.request(post_on_base(), alternatives=1)
    (found,) = plan(request, ARMS, deadline=Deadline(lambda: 60.0)).alternatives
    search = Search(request, ARMS, drawn_samples(request.weldment, request.rules)[0], Deadline(lambda: 60.0))
    search.open()
    floor = armed_floor(search, search.tried[0])
    assert floor is not None and 0 < floor <= found.cost.total_cents
