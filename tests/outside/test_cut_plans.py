"""Plans of mitred corners judged by exact meshes, and by the independent checker."""

from __future__ import annotations

import time
from random import Random

import pytest

from service.documents import plan_document
from solver.checks import check
from solver.deadline import Deadline
from solver.planning import plan
from solver.sections import Section
from solver.weldment import Weldment
from tests import builders as b
from tests.outside.corners import corner
from tests.outside.judge import Judge

PROFILES = (
    (Section("square_tube", width=50, wall=3), 50.0), (Section("square_tube", width=40, wall=4, corner_radius=0.0), 40.0),
    (Section("rect_tube", width=60, height=40, wall=4), 40.0), (Section("flat_bar", width=60, thickness=15), 15.0),
)  # fmt: skip
TURNING = b.adjustable_stop("turning", step=0, travel=40, turns="any")
SHELF = b.shelf((b.stop(), 8), (TURNING, 8), (b.rest(), 4), (b.down_clamp(), 4), (b.down_clamp("long-clamp", reach=120), 4))


def judged(weldment: Weldment) -> int:
    """Return how many alternatives were found; each is what its mesh and the checker say it is."""
    began = time.process_time()
    request = b.request(weldment, alternatives=2)
    found = plan(request, SHELF, deadline=Deadline(lambda: 20.0 - (time.process_time() - began)))
    assert found.work is not None and found.work["dropped"] == 0
    for alternative in found.alternatives:
        assert list(Judge(request, alternative).faults()) == []
    report = check(request, SHELF, plan_document(found))
    assert report.ok, report.failed
    return len(found.alternatives)


@pytest.mark.slow
@pytest.mark.parametrize(("section", "height"), PROFILES[:2], ids=lambda value: getattr(value, "shape", None))
def test_a_square_corner(section: Section, height: float) -> None:
    assert judged(corner(90, section, height)) == 2


def random_corner(seed: int) -> Weldment:
    draw = Random(seed)
    section, height = draw.choice(PROFILES)
    return corner(draw.choice((90.0, 135.0, 60.0, draw.uniform(50, 160))), section, height, draw.choice((220, 300, 410)))


def test_a_random_corner() -> None:
    assert judged(random_corner(1)) > 0


@pytest.mark.slow
def test_sixty_random_corners() -> None:
    assert sum(judged(random_corner(seed)) > 0 for seed in range(100, 160)) > 30
