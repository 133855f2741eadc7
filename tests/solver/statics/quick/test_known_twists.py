"""Many twists against one choice: those undo it whose cuts it breaks."""

from __future__ import annotations

import pytest
from numpy.random import default_rng

from solver.statics import cut_of_twist, demands, undoing
from solver.statics.power import demand
from tests.solver.statics.shop import random_fixture, sampled


@pytest.mark.parametrize("seed", range(3))
def test_a_choice_is_undone_by_the_twists_whose_cuts_it_breaks(seed: int) -> None:
    rng = default_rng(200 + seed)
    everything, cases, count = random_fixture(rng, parts=2)
    cases = sampled(cases, rng, 5)
    twists = rng.normal(size=(60, 2, 6)) * (1, 1, 1, 0.01, 0.01, 0.01)
    twists[::3, 0] = 0.0
    demanded = demands(twists, everything.part_weights, cases)
    assert demanded == pytest.approx([float(demand(twist, everything.part_weights, cases).max()) for twist in twists])
    cuts = [cut_of_twist(twist, everything, cases, count) for twist in twists]
    for many in (0, 2, count // 2, count):
        chosen = rng.choice(count, size=many, replace=False).tolist()
        broken = [number for number, cut in enumerate(cuts) if cut is not None and not cut.allows(chosen)]
        assert undoing(twists, demanded, everything.chosen(chosen)).tolist() == broken
    assert broken != list(range(len(twists)))
