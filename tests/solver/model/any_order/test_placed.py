"""What locates the parts of a choice in some order locates them whatever the order, and nothing else does."""

from __future__ import annotations

import pytest

from solver.model.any_order import placed as in_any_order
from solver.model.families.from_start import located, long_face, spread
from tests.solver.model.any_order.fixing import verdicts

SEEDS = (0, 1, 2, 6, 8, 18)


@pytest.mark.parametrize("seed", SEEDS)
def test_a_choice_is_allowed_if_some_order_allows_it(seed: int) -> None:
    for alone, at_once in verdicts(seed, in_any_order.post, located, long_face, spread):
        assert at_once == any(alone)
