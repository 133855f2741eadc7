"""Orientations derived from others keep what they mean: the orders of loading, one or several at once."""

from __future__ import annotations

from solver.deadline import Deadline
from solver.laying.lay_out import drawn_samples
from solver.laying.load_orders import orders_of
from solver.search.orientation import in_orders, with_every_arm
from solver.search.search import Search
from tests import builders as b
from tests.solver.kinds.test_special_pieces import ARMS, post_on_base


def test_with_arms_the_same_orders_of_loading_are_meant() -> None:
    request = b.request(post_on_base(), alternatives=1)
    search = Search(request, ARMS, drawn_samples(request.weldment, request.rules)[0], Deadline(lambda: 60.0))
    search.open()
    plain = search.tried[0]
    orders = [plain.laid.order or (), *orders_of(plain.laid)]
    for meant in (plain, in_orders(plain, orders), in_orders(plain, orders[-1:])):
        armed = with_every_arm(request, ARMS, meant, search.shelf(plain.bounds.pitch))
        assert [laid.order for laid in armed.bounds.choices.laids] == [laid.order for laid in meant.bounds.choices.laids]
        assert armed.several == meant.several
        assert armed.laid.any_order == meant.laid.any_order
