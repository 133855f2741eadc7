"""Every order of loading that makes a difference is found once; orders without a route in are not."""

from __future__ import annotations

import numpy as np
import pytest

from solver.laying.laid_weldment import LaidWeldment
from solver.laying.lay_out import drawn_samples, lay_out
from solver.laying.load_orders import orders_of
from solver.weldment import Weldment
from tests import builders as b


def laid(weldment: Weldment) -> LaidWeldment:
    request = b.request(weldment)
    samples, _ = drawn_samples(weldment, request.rules)
    return lay_out(weldment, request.rules, np.eye(3), 0.0, samples)


def test_two_bars_that_meet_in_a_t_go_in_one_way_or_the_other() -> None:
    there = laid(b.weldment(b.bar("through", length=400), b.bar("branch", length=200, at=(180, 25, 5), along=(0.0, 1.0, 0.0))))
    assert there.order is not None
    assert [tuple(reversed(there.order))] == list(orders_of(there))


def test_what_lies_over_another_part_goes_in_after_it_unless_there_is_a_way_in_from_the_side() -> None:
    there = laid(b.tab_on_tube())
    assert there.order == (0, 1)
    for order in orders_of(there):
        assert sorted(order) == [0, 1]


@pytest.mark.parametrize("gap", [0.5, 50.0])
def test_parts_that_neither_touch_nor_lie_over_each_other_have_one_order(gap: float) -> None:
    there = laid(b.weldment(b.bar("one", length=300), b.bar("two", length=300, at=(0, 50 + gap, 5))))
    assert list(orders_of(there)) == []


def test_no_more_orders_are_looked_for_once_time_has_ended() -> None:
    there = laid(b.weldment(b.bar("through", length=400), b.bar("branch", length=200, at=(180, 25, 5), along=(0.0, 1.0, 0.0))))
    looks = iter([False] * 3 + [True] * 100)
    assert list(orders_of(there)) and not list(orders_of(there, lambda: next(looks)))
    assert sum(1 for _ in looks) > 90
