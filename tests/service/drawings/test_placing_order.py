"""Nothing is placed before what it stands on; otherwise pieces keep the order of the plan."""

from __future__ import annotations

from dataclasses import replace

from service.drawings.placing_order import numbers, placing_order
from solver.plans import Alternative
from tests.service.drawings.example import alternative


def reordered(*ids: str) -> Alternative:
    by_id = {placement.id: placement for placement in alternative().placements}
    return replace(alternative(), placements=tuple(by_id[id] for id in ids))


def test_pieces_keep_the_order_of_the_plan() -> None:
    assert [one.id for one in placing_order(alternative())] == ["p1", "p2", "p3", "p4", "p5", "p10"]


def test_a_carrier_comes_before_what_stands_on_it() -> None:
    assert [one.id for one in placing_order(reordered("p1", "p10", "p4", "p5"))] == ["p1", "p5", "p10", "p4"]


def test_stations_are_set_one_after_the_other() -> None:
    one, two, *_ = alternative().placements
    both = replace(alternative(), placements=(replace(one, station=2), replace(two, station=1)))
    assert numbers(both) == {"p2": 1, "p1": 2}
