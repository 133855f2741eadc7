"""Plans judged by exact meshes: what the plan says touches touches, what it says is free is free."""

from __future__ import annotations

import time
from dataclasses import replace
from random import Random

import numpy as np
import pytest

from inventory.shapes import Point3
from solver.deadline import Deadline
from solver.planning import plan
from solver.plans import Alternative, Move
from solver.variants import alone
from tests import builders as b
from tests.outside.judge import Judge
from tests.properties.test_random_jobs import a_job
from tests.solver.sizes import two_sizes

LIMIT_S = 4.0


def judged(request: object, stock: object) -> int:
    end = time.monotonic() + LIMIT_S
    answer = plan(request, stock, deadline=Deadline(lambda: end - time.monotonic()))  # type: ignore[arg-type]
    for alternative in answer.alternatives:
        faults = list(Judge(request, alternative).faults())  # type: ignore[arg-type]
        assert not faults, faults[:5]
    return len(answer.alternatives)


def test_the_tab_on_a_tube() -> None:
    assert judged(b.request(b.tab_on_tube(), alternatives=3), b.plain_shelf()) == 3


def test_a_tab_on_a_tube_in_two_sizes() -> None:
    request, _, found = two_sizes()
    (best,) = found.alternatives
    for asked, alternative in ((request, best), (request.of_variant(request.variants[0]), alone(best, best.variants[0]))):
        assert list(Judge(asked, alternative).faults()) == []


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
