"""Tipping: a choice whose supports' outline comes too near to a centre of gravity asks for a support beyond that edge."""

from __future__ import annotations

import numpy as np

from solver.model.families.on_demand.tipping import Tipping
from solver.position.problem import Problem
from tests import builders as b
from tests.solver.model.positions import Fixing, choice, position, those


def raised_plate() -> tuple[Problem, dict[int, np.ndarray]]:
    """A plate 200 x 160 on small rests 40 high, and where each stands, seen from the centre of gravity."""
    stock = b.shelf((b.rest(height=40), 4), (b.stop(height=60), 4), (b.down_clamp(), 2))
    problem = position(b.request(b.weldment(b.plate(size=(200, 160), thickness=8))), stock, (25, 25), lift=40)
    rests = those(problem, lambda candidate: candidate.stack.top.kind == "rest")
    return problem, {k: problem.candidates[k].meetings[0].at[:2] - problem.laid.parts[0].centre[:2] for k in rests}


def test_a_plate_on_two_rests_at_one_end_wants_one_beyond_its_centre() -> None:
    problem, at = raised_plate()
    left = [k for k in at if at[k][0] < -30]
    rows = Fixing(problem)
    assert rows.add(rows.on_demand(Tipping).broken(choice(problem, left))) == 1
    assert not rows.allows(left)
    right = [k for k in at if at[k][0] > 30]
    assert rows.allows([*left, right[0]])


def test_a_plate_on_its_corners_asks_for_nothing() -> None:
    problem, at = raised_plate()
    corners = [max(at, key=lambda k: float(at[k] @ np.array(sign))) for sign in ((1, 1), (1, -1), (-1, 1), (-1, -1))]
    assert list(Fixing(problem).on_demand(Tipping).broken(choice(problem, corners))) == []
