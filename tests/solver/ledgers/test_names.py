"""Names of questions: one each, whatever stands beside them."""

from __future__ import annotations

import numpy as np

from solver.ledgers.content import content_of
from solver.ledgers.names import mixed, names_of, together

ONE, OTHER = names_of([content_of("one"), content_of("other")])


def test_every_number_makes_another_name() -> None:
    names = mixed(np.tile(ONE, (4000, 1)), np.repeat(np.arange(40), 100), np.tile(np.arange(100) * 0.5, 40))
    assert all(len(np.unique(names[:, lane])) == 4000 for lane in (0, 1))


def test_the_order_of_columns_counts() -> None:
    a, b = ONE[None], OTHER[None]
    assert (mixed(a, b) != mixed(b, a)).any()
    assert (mixed(a, np.array([1]), np.array([2])) != mixed(a, np.array([2]), np.array([1]))).any()


def test_names_do_not_depend_on_what_else_is_named() -> None:
    own, numbers = np.tile(ONE, (9, 1)), np.arange(9.0)
    assert (mixed(own, numbers)[4] == mixed(own[:1], numbers[4:5])[0]).all()


def test_both_zeros_are_one() -> None:
    assert (mixed(ONE[None], np.array([0.0])) == mixed(ONE[None], np.array([-0.0]))).all()


def test_a_group_is_named_by_its_members_whatever_their_order() -> None:
    members = np.array([ONE, OTHER, OTHER, ONE, ONE])
    found = together(members, np.array([0, 0, 1, 1, 2]), 4)
    assert (found[0] == found[1]).all() and (found[2] == ONE).all() and not found[3].any()
