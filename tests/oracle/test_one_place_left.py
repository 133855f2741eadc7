"""Where just one place of the lattice is left, its fixture is told of like any other."""

from __future__ import annotations

import time
from random import Random

import pytest

from solver.deadline import Deadline
from solver.planning import plan
from solver.progress import Progress
from tests import builders as b
from tests.oracle.jobs.joints import tee
from tests.oracle.jobs.shops import few_stops


@pytest.mark.parametrize("seed", [4, 14])
def test_the_fixture_at_the_only_place_left_is_told(seed: int) -> None:
    draw = Random(seed)
    weldment = tee(draw)
    stock = few_stops(draw, blocked=draw.randrange(3, 30))
    request = b.request(weldment, rules={"hold.handling_n": 40.0}, alternatives=1)
    told: list[Progress] = []
    answer = plan(request, stock, deadline=Deadline.on(time.process_time, 60.0), on_progress=told.append)
    assert answer.alternatives and told
