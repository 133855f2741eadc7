"""A position with several orders of loading, asked for all at once or each alone."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace

import numpy as np
import pytest

from solver.hardware.candidates import Lattice
from solver.search import lies_to_positions, loading_orders
from solver.search.lattice_position import LatticePosition
from solver.search.loading_orders import in_orders
from solver.search.orientation import in_orders as with_orders
from solver.search.state import SearchState
from tests.solver.position.surveyed import opened

SEEDS = (0, 1, 2, 6)
ENOUGH = 10**9


def positions(seed: int) -> Iterator[tuple[SearchState, LatticePosition]]:
    """Yield some positions of a tiny pair at which both orders of loading are meant."""
    search = opened(seed, True)
    for orientation in search.tried:
        several = with_orders(orientation, ((0, 1), (1, 0)))
        for phase in orientation.phases[:: max(1, len(orientation.phases) // 4)]:
            lattice = Lattice(phase, orientation.bounds.pitch)
            yield search, LatticePosition(0, search.next_number(), several, lattice, orientation.tables[0], surveyed=True)


def of_one(found: list[LatticePosition]) -> list[LatticePosition]:
    return [position for position in found if not position.orientation.several]


@pytest.mark.parametrize("seed", SEEDS)
def test_before_there_is_a_fixture_every_order_is_asked_alone(seed: int) -> None:
    for state, position in positions(seed):
        found = in_orders(state, position, ENOUGH)
        assert of_one(found) == found and state.tally.solves == 0
        assert [there.orientation.laid.order for there in found] in ([], [(0, 1)], [(1, 0)], [(0, 1), (1, 0)])


@pytest.mark.parametrize("seed", SEEDS)
def test_with_one_the_best_order_is_asked_first_and_the_others_wait(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(loading_orders, "FEW", 0)
    for state, position in positions(seed):
        state.tally.found = 1
        left, floors, asked = [position], [0], 0
        while left:
            found = in_orders(state, left[0], ENOUGH)
            assert all(there.number > position.number for there in found)
            left = [there for there in found if there.orientation.several and there.floor <= ENOUGH]
            asked += len(of_one(found))
            floors += [there.floor for there in of_one(found)]
        assert floors == sorted(floors) and asked <= 2
        if asked:
            assert state.tally.solves and state.tally.built


def test_orders_that_cost_too_much_fall_together(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(loading_orders, "FEW", 0)
    fallen = 0
    for state, position in (entry for seed in SEEDS for entry in positions(seed)):
        alone = in_orders(state, replace(position), ENOUGH)
        state.tally.found = 1
        first = in_orders(state, replace(position), ENOUGH)
        if not of_one(first):
            assert all(there.floor > ENOUGH for there in first)
            continue
        least = of_one(first)[0].floor
        (waiting,) = in_orders(state, replace(position), least - 1)
        assert waiting.orientation.several and waiting.floor >= least
        assert waiting.by_order is not None and len(waiting.by_order) == len(alone)
        fallen += 1
    assert fallen


def test_orders_too_many_to_look_at_are_told_unless_nothing_can_stand_in_any(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(lies_to_positions, "MOST_ORDERS", 0)
    for least, told in ((500.0, True), (math.inf, False)):
        monkeypatch.setattr(lies_to_positions, "anywhere", lambda bounds, least=least: np.array([least]))
        search = opened(0, True)
        assert lies_to_positions._other_orders(search, search.tried[0]) == []
        assert ("orders" in search.left) is told
