"""Orders of loading asked all at once are what each asked alone is."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from solver.laying.load_orders import orders_of
from solver.laying.order_choices import OrderChoices
from solver.position.floors.match_floors import MatchFloors
from solver.search.orientation import in_orders
from tests.solver.position.surveyed import places

SEEDS = [0, 1, 2, 6, 8, 18]


@pytest.mark.parametrize("seed", SEEDS)
def test_the_least_of_all_orders_is_the_least_of_each(seed: int) -> None:
    for orientation, lattices in places(seed, True):
        orders = [*orders_of(orientation.laid), orientation.laid.order or ()]
        phases = np.array([lattice.phase for lattice in lattices])

        def floors(bounds: MatchFloors, at: np.ndarray = phases) -> np.ndarray:
            placing, clamping = bounds.shares_at(at)
            return bounds.choices.least(placing) + clamping

        alone = [floors(orientation.bounds.ordered([replace(orientation.laid, order=order)])) for order in orders]
        together = floors(in_orders(orientation, orders).bounds)
        assert together.tolist() == pytest.approx(np.min(alone, axis=0).tolist())


def test_parts_that_meet_the_same_neighbours_are_one_case() -> None:
    """Two parts that touch have two cases each, whatever the number of orders; those that touch nothing have one."""
    orientation, _ = next(places(SEEDS[0], True))
    laid = orientation.laid
    choices = OrderChoices.of([replace(laid, order=order) for order in ((0, 1), (1, 0), (0, 1))])
    touching = any(not touch.on_table for touch in laid.touches)
    assert len(choices.cases) == (4 if touching else 2)
    assert choices.of_order.shape == (3, 2) and (choices.of_order[0] == choices.of_order[2]).all()
    assert choices.sums(np.arange(len(choices.cases), dtype=float)[None]).shape == (1, 3)


def test_a_part_costs_at_least_what_it_costs_in_its_best_order() -> None:
    orientation, _ = next(places(SEEDS[0], True))
    choices = OrderChoices.of([replace(orientation.laid, order=order) for order in ((0, 1), (1, 0))])
    shares = np.arange(len(choices.cases), dtype=float)[None]
    assert choices.by_part(shares).tolist() == [[min(shares[0, choices.of_order[:, part]]) for part in range(2)]]
