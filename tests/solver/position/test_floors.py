"""What is said of a lattice position before its model is solved is never more than the truth."""

from __future__ import annotations

import math
from random import Random
from typing import Any

import numpy as np
import pytest

from inventory.shapes import Array
from solver.deadline import Deadline
from solver.laying.lay_out import drawn_samples
from solver.position.floors.match_floors import AlongAxis, MatchFloors, Slanted
from solver.position.floors.screened_floors import Survey, survey
from solver.search import lies_to_positions, position_batches
from solver.search.lattice_position import LatticePosition
from solver.search.position_batches import seated, survey_together
from solver.search.position_models import model_at
from solver.search.search import Search
from tests.solver.model.tiny import tiny_job, tiny_pair
from tests.solver.position.without_floors import give_nothing_up, without_floors

ENDLESS = Deadline(lambda: 1000.0)


def every_pose(seed: int, pair: bool, patch: pytest.MonkeyPatch) -> list[tuple[Search, LatticePosition, float, float]]:
    """Return each position with its floor before and after placing (cents, infinite where it would have been dropped)."""
    request, stock = (tiny_pair if pair else tiny_job)(Random(seed))
    after: list[float] = []
    by_bounds = MatchFloors.floors

    def told(self: MatchFloors, x: AlongAxis, y: AlongAxis, slanted: Slanted | None = None) -> Array:
        if slanted is not None:
            told_floors.extend(by_bounds(self, x, y, slanted).tolist())
        return np.zeros(len(x.meets))

    def surveyed(*asked: Any) -> Survey:
        after.append(float(survey(*asked).floor[0]))
        return without_floors(*asked)

    told_floors: list[float] = []
    patch.setattr(lies_to_positions, "feasible", lambda *_: "optimal")
    patch.setattr(MatchFloors, "floors", told)
    give_nothing_up(patch)
    patch.setattr(position_batches, "survey", surveyed)
    search = Search(request, stock, drawn_samples(request.weldment, request.rules)[0], ENDLESS)
    search.open()
    numbered = sorted(search.positions, key=lambda position: position.number)
    before = {position.lattice.phase: floor for position, floor in zip(numbered, told_floors, strict=True)}
    found = []
    for place in numbered:
        for left in survey_together(search, [place]):
            found += [(search, there, before[place.lattice.phase], after[-1]) for there in seated(search, left)]
    return found


@pytest.mark.parametrize(
    ("seed", "pair"),
    [(21, False), (0, True), *(pytest.param(*one, marks=pytest.mark.slow) for one in ((2, False), (4, False), (1, True)))],
)
def test_floors_lie_under_the_cheapest_fixture_of_every_position(seed: int, pair: bool) -> None:
    held = dropped = 0
    with pytest.MonkeyPatch.context() as patch:
        for search, position, before, after in every_pose(seed, pair, patch):
            if position.seat is None or position.sites is None or not len(position.sites):
                continue
            outcome = model_at(search, position).cheapest(seed=1, deadline=Deadline(lambda: 30.0), work=None)
            assert outcome.verdict in ("optimal", "infeasible")
            if outcome.choice is None:
                dropped += 1
                continue
            held += 1
            assert before < math.inf and after < math.inf, "a position that holds a fixture would have been dropped"
            assert search.price.cents(before) <= outcome.choice.cents
            assert search.price.cents(after) <= outcome.choice.cents
            assert search.price.cents(before) <= search.price.cents(after) + 1
    assert held + dropped > 0
