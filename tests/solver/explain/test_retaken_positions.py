"""Positions taken up again: also of an orientation that means several orders of loading at once."""

from __future__ import annotations

import pytest

from solver.explain import retaken_positions
from solver.explain.retaken_positions import phases_of, places_of
from solver.laying.load_orders import orders_of
from solver.search.orientation import in_orders
from tests.solver.position.surveyed import places


def test_places_of_several_orders_at_once_are_found() -> None:
    orientation, _ = next(places(0, True))
    orders = [*orders_of(orientation.laid), orientation.laid.order or ()]
    several = in_orders(orientation, orders)
    first = orientation.laid.parts[0].id
    for lifted in (frozenset[str](), frozenset({first})):
        found = places_of(several, 5, lifted)
        assert 0 < len(found) <= 5
        assert all(position.orientation is several for position in found)


def test_the_more_pads_and_faces_can_meet_the_fewer_places_are_ranked(monkeypatch: pytest.MonkeyPatch) -> None:
    """What is told of all lattice positions is still asked of all."""
    orientation, _ = next(places(0, True))
    assert len(orientation.phases) > 4 and len(places_of(orientation, 100)) == len(orientation.phases)
    monkeypatch.setattr(retaken_positions, "RANKED_MATCHES", 3 * len(orientation.found))
    assert len(places_of(orientation, 100)) == 4
    assert len(phases_of(orientation)) == len(orientation.phases)
