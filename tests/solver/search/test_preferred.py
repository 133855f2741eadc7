"""Of fixtures at one price the one a fitter would choose is shown, wherever on the lattice it stands."""

from __future__ import annotations

import time

import pytest

from inventory.stock import StockSnapshot
from solver.deadline import Deadline
from solver.laying.lay_out import drawn_samples
from solver.planning import plan
from solver.position.locating_errors import largest_error
from solver.request import Request
from solver.search.position_models import model_at
from solver.search.search import Search
from tests import builders as b
from tests.properties.shops import sliding_stop

SECONDS = 60.0
Job = tuple[Request, StockSnapshot]


def bar_and_stops() -> Job:
    """A flat bar, three stops: every other hole row along it will do."""
    weldment = b.weldment(b.bar(width=50, thickness=20, length=260, at=(0, 0, 10)))
    return b.request(weldment, alternatives=1, turn=(0.0,)), b.shelf((b.stop(), 3), (b.down_clamp(), 1))


def bar_and_slides() -> Job:
    weldment = b.weldment(b.bar(width=50, thickness=20, length=300, at=(0, 0, 10)))
    shelf = b.shelf((b.stop(), 2), (sliding_stop(travel=25, step=5), 1), (b.down_clamp(), 1), (b.down_clamp("long", reach=90), 1))
    return b.request(weldment, alternatives=1, turn=(0.0,)), shelf


def searched(job: Job) -> Search:
    """A search that went through all positions for the cheapest fixture."""
    request, stock = job
    began = time.process_time()
    samples, _ = drawn_samples(request.weldment, request.rules)
    return Search(request, stock, samples, Deadline(lambda: SECONDS + began - time.process_time()))


@pytest.mark.parametrize("job", [bar_and_stops, bar_and_slides])
def test_no_position_holds_a_truer_fixture_at_the_price(job: object) -> None:
    assert callable(job)
    search = searched(job())
    search.open()
    found, _, proven = search.cheapest(())
    assert found is not None and proven
    own = largest_error(found.model.problem, found.choice.candidates)
    tried = 0
    for position in [each for each in search.positions if each.floor <= found.choice.cents and each.ready]:
        model = model_at(search, position)
        outcome = model.cheapest(search.end, seed=1, work=None, ceiling=found.choice.cents)
        if outcome.choice is not None:
            tried += 1
            liked = model.preferred(outcome.choice, search.end, unlike=(), seed=1)
            assert largest_error(model.problem, liked.choice.candidates) >= own - 0.01
    assert tried > 1, "there is something to prefer"


def test_the_price_is_the_same_with_and_without_preferences(monkeypatch: pytest.MonkeyPatch) -> None:
    request, stock = bar_and_stops()
    began = time.process_time()
    best = plan(request, stock, deadline=Deadline(lambda: SECONDS + began - time.process_time())).alternatives[0]
    search = searched((request, stock))
    search.open()
    monkeypatch.setattr("solver.search.search.preferred", lambda state, found, alike, through: found)
    found, _, _ = search.cheapest(())
    assert found is not None and found.choice.cents == best.cost.total_cents
