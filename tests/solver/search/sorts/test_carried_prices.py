"""A piece on something else costs what the cheapest stack does that brings its pad to the face."""

from __future__ import annotations

import numpy as np
import pytest

from solver.hardware.matching import matches
from solver.hardware.stacks import carries_straight_up
from solver.search.orientation import priced_stacks
from solver.search.sorts.carried_prices import CarriedPrices, arm_cents
from tests.solver.search.drawn_shelves import opened_on_a_drawn_shelf


@pytest.mark.parametrize("seed", (0, 1, 2, 3))
def test_the_price_of_a_piece_is_that_of_the_cheapest_stack_with_it(seed: int) -> None:
    search = opened_on_a_drawn_shelf(seed)
    (orientation,) = search.tried[:1]
    shelf = search.shelf(orientation.bounds.pitch)
    alone, looking = matches(shelf, orientation.laid, any_height=True)
    (prices,) = CarriedPrices(search.request, search.stock, shelf).at((0.0,), alone, looking)
    stacks, found = matches(shelf, orientation.laid, every_arm=True)
    cheapest: dict[tuple[object, ...], float] = {}
    priced = [cents for _, cents in priced_stacks(search.request, search.stock, shelf, stacks)]
    for match in found:
        key = stacks[match.stack].top.id, stacks[match.stack].turn, match.pad_index, match.face.part, match.face.label
        cheapest[key] = min(priced[match.stack], cheapest.get(key, np.inf))
    keys = [(alone[m.stack].top.id, alone[m.stack].turn, m.pad_index, m.face.part, m.face.label) for m in looking]
    assert {key: price for key, price in zip(keys, prices.tolist(), strict=True) if price < np.inf} == pytest.approx(cheapest)


def test_what_stands_on_an_arm_is_told_without_it() -> None:
    search = opened_on_a_drawn_shelf(0)
    (orientation,) = search.tried[:1]
    shelf = search.shelf(orientation.bounds.pitch)
    arm = arm_cents(search.request, search.stock, shelf)
    alone, looking = matches(shelf, orientation.laid, any_height=True)
    whole = CarriedPrices(search.request, search.stock, shelf).at((0.0, 7.0), alone, looking)
    less = CarriedPrices(search.request, search.stock, shelf, arm).at((0.0, 7.0), alone, looking)
    there = np.isfinite(whole)
    assert arm > 0 and (less[there] <= whole[there]).all() and (less[there] >= whole[there] - arm - 1e-9).all()


def test_the_arm_that_counts_is_no_riser() -> None:
    search = opened_on_a_drawn_shelf(0)
    shelf = search.shelf(search.tried[0].bounds.pitch)
    arms = [stack for stack in shelf.arms if not carries_straight_up(stack.top) and len(stack.levels) == 1]
    least = min(cents for _, cents in priced_stacks(search.request, search.stock, shelf, arms))
    assert arm_cents(search.request, search.stock, shelf) == pytest.approx(least)
