"""Plans judged by exact meshes: what the plan says touches touches, what it says is free is free."""

from __future__ import annotations

import time
from dataclasses import replace
from random import Random

import numpy as np
import pytest

from inventory.shapes import Point3
from inventory.stock import StockSnapshot
from solver.checks.rules.stations import by_station
from solver.deadline import Deadline
from solver.planning import plan
from solver.plans import Alternative, Move
from solver.request import Request
from solver.variants import alone
from tests import builders as b
from tests.outside.judge import Judge
from tests.properties.test_random_jobs import a_job
from tests.solver.sizes import two_sizes

LIMIT_S = 4.0


def judged(request: object, stock: object, limit_s: float = LIMIT_S) -> int:
    end = time.monotonic() + limit_s
    answer = plan(request, stock, deadline=Deadline(lambda: end - time.monotonic()))  # type: ignore[arg-type]
    for alternative in answer.alternatives:
        stations = by_station(alternative)
        for own in stations:
            faults = list(Judge(request, own, [other for other in stations if other is not own]).faults())  # type: ignore[arg-type]
            assert not faults, faults[:5]
    return len(answer.alternatives)


def test_the_tab_on_a_tube() -> None:
    assert judged(b.request(b.tab_on_tube(), alternatives=3), b.plain_shelf(), limit_s=60.0) == 3


def test_a_tab_on_a_tube_in_two_sizes() -> None:
    request, _, found = two_sizes()
    (best,) = found.alternatives
    for asked, alternative in ((request, best), (request.of_variant(request.variants[0]), alone(best, best.variants[0]))):
        assert list(Judge(asked, alternative).faults()) == []


def tabs_side_by_side(stations: int) -> tuple[Request, StockSnapshot]:
    """A tab on a tube in so many stations, all turns allowed, with pieces enough for them."""
    asked = b.request(b.tab_on_tube(), stations=stations, alternatives=1, turn=b.SQUARE_TURNS)
    return asked, b.plain_shelf(stop=20, rest=20, clamp=20, **{"stop-20": 40, "long-clamp": 20})


def test_two_stations_side_by_side() -> None:
    assert judged(*tabs_side_by_side(2), limit_s=60.0) == 1


def test_the_judge_sees_a_station_too_near() -> None:
    """One of two stations moved until it stands in the other's way."""
    request, stock = tabs_side_by_side(2)
    one, other = by_station(plan(request, stock, deadline=Deadline(lambda: 100.0)).alternatives[0])
    ahead = [float(there[3] - here[3]) for here, there in zip(one.weldment_to_table, other.weldment_to_table, strict=True)]
    near = one
    for k in range(len(one.placements)):
        near = moved(near, k, scaled((ahead[0], ahead[1], 0.0), 0.9))
    assert any("another station" in fault for fault in Judge(request, other, [near]).faults())


@pytest.mark.slow
@pytest.mark.parametrize("stations", [3, 4, 5])
def test_more_stations_side_by_side(stations: int) -> None:
    assert judged(*tabs_side_by_side(stations), limit_s=60.0) == 1


def scaled(vector: Point3, share: float) -> Point3:
    x, y, z = vector
    return share * x, share * y, share * z


def moved(alternative: Alternative, piece: int, by: Point3) -> Alternative:
    """Return an alternative with one piece's solids elsewhere than its plan says."""
    shift = np.eye(4)
    shift[:3, 3] = by
    placed = alternative.placements[piece]
    solids = tuple(solid.placed(shift) for solid in placed.solids)
    changed = replace(placed, solids=solids)
    return replace(alternative, placements=(*alternative.placements[:piece], changed, *alternative.placements[piece + 1 :]))


def test_the_judge_sees_what_is_wrong() -> None:
    """A piece 2 mm off its face, or 2 mm in it; a torch that comes from below; a weldment that leaves through a stop."""
    request = b.request(b.tab_on_tube(), alternatives=1)
    alternative = plan(request, b.plain_shelf(), deadline=Deadline(lambda: 100.0)).alternatives[0]
    k, normal = next((k, piece.contacts[0].normal) for k, piece in enumerate(alternative.placements) if piece.locates)
    off, into = (moved(alternative, k, scaled(normal, share)) for share in (-2.0, 2.0))
    assert any("off by its mesh" in fault for fault in Judge(request, off).faults())
    assert any("runs into" in fault for fault in Judge(request, into).faults())
    below = replace(alternative.welds[0], samples=tuple((at, (0.0, 0.0, 1.0)) for at, _ in alternative.welds[0].samples))
    assert any("torch" in fault for fault in Judge(request, replace(alternative, welds=(below,))).faults())
    through = replace(alternative.unload, moves=(Move(scaled(normal, -1.0), 60.0),))
    shut = replace(alternative, stations=(replace(alternative.stations[0], unload=through),))
    assert any("leaving" in fault for fault in Judge(request, shut).faults())


def test_some_random_jobs() -> None:
    assert sum(judged(*a_job(Random(seed), 1 + seed % 3)) for seed in range(4)) >= 1


@pytest.mark.slow
def test_three_hundred_random_plans() -> None:
    """Jobs are tried until three hundred plans have been judged."""
    count, failed = 0, []
    for seed in range(5000, 7000):
        try:
            count += judged(*a_job(Random(seed), 1 + seed % 3))
        except AssertionError as wrong:
            failed.append((seed, str(wrong)[:300]))
        if count >= 300:
            break
    assert not failed
    assert count >= 300
