"""What shuts a position next: only what is still impossible with everything named lifted."""

from __future__ import annotations

import time

from solver.deadline import Deadline
from solver.explain.irreducible import Demand
from solver.explain.lifting.shut_next import ShutNext, shut_next, taken_along
from solver.explain.retaken_positions import model_of, spread
from solver.model.position_model import PositionModel
from tests.builders import plain_shelf, request
from tests.solver.explain.shops import searched, two_bars

CLAMPS = {Demand("clamp.per_length", "long"), Demand("clamp.per_length", "short")}
ONE_CLAMP = {"clamp": 1, "long-clamp": 0}


def a_model(**counts: int) -> PositionModel:
    """The model of a place that has stops enough for two bars."""
    asked = request(two_bars())
    (position,) = spread([entry for entry in searched(asked, plain_shelf()).positions if entry.number >= 0], 1)
    found = model_of(searched(asked, plain_shelf(**counts)), position)
    assert found is not None
    return found


def after(model: PositionModel, lifted: set[Demand]) -> ShutNext:
    return shut_next(model, lifted, Deadline.on(time.process_time, 60.0))


def test_where_nothing_is_lifted_the_first_conflict_comes_next_and_then_a_fixture_stands() -> None:
    found = after(a_model(**ONE_CLAMP), set())
    assert found.stands and {*CLAMPS, Demand("stock.counted", "clamp")} < {*found.conflicts[0].demands}
    assert found.count == sum(len(conflict.demands) for conflict in found.conflicts)


def test_where_a_fixture_stands_nothing_is_named() -> None:
    assert after(a_model(), set()) == ShutNext((), True)


def test_once_lifted_it_is_not_named_again() -> None:
    assert after(a_model(**ONE_CLAMP), {Demand("stock.counted", "clamp")}) == ShutNext((), True)
    assert after(a_model(**ONE_CLAMP), taken_along("clamp.per_length", "weldment")) == ShutNext((), True)


def test_without_time_nothing_is_claimed() -> None:
    assert shut_next(a_model(), set(), Deadline(lambda: 0.0)) == ShutNext((), False)


def test_a_face_that_nothing_meets_gives_no_end_either() -> None:
    assert Demand("locate.end", "tab") in taken_along("locate.side", "tab")
    assert taken_along("clamp.per_length", "weldment") == {Demand("clamp.per_length", "")}
