"""Outer bodies drawn at random about a tab on a tube: every plan is judged by exact meshes, and none is cheaper than without."""

from __future__ import annotations

import math
from functools import cache
from random import Random

import numpy as np
import pytest

from inventory.shapes import PlaneCut, Point2
from solver.checks import check_alternative
from solver.deadline import Deadline
from solver.laying.fit import fit_faults
from solver.planning import plan
from solver.sections import Section
from solver.weldment import Part, Pose
from tests import builders as b
from tests.outside.judge import Judge

DRAWN = 60
OPTIMAL = 2
"""A seed about whose hull there is a plan."""


def outline(draw: Random) -> tuple[Point2, ...]:
    """A convex outline: points of an ellipse."""
    angles = sorted(draw.uniform(0, 2 * math.pi) for _ in range(draw.randint(3, 9)))
    a, c = draw.uniform(10, 60), draw.uniform(10, 60)
    ring = [(a * math.cos(angle), c * math.sin(angle)) for angle in angles]
    return tuple(ring) if min(math.dist(p, q) for p, q in zip(ring, (*ring[1:], ring[0]), strict=True)) > 2 else outline(draw)


def a_body(draw: Random) -> Part:
    """A hull anyhow, somewhere about the weldment, an end of it cut off askew now and then."""
    while True:
        along, up = (np.array([draw.gauss(0, 1) for _ in range(3)]) for _ in range(2))
        length = draw.uniform(10, 120)
        at = (draw.uniform(-50, 550), draw.uniform(-120, 160), draw.uniform(-20, 200))
        cuts = (PlaneCut((0, 0, 0.7 * length), (draw.uniform(-1, 1), draw.uniform(-1, 1), 1.0)),) if draw.random() < 0.5 else ()
        part = Part(
            "hull", Section("body", plate_outline=outline(draw)), length, Pose(at, tuple(along), tuple(up)), cuts=cuts
        )  # fmt: skip
        if not list(fit_faults((part,), (), 0.1)):
            return part


@cache
def plain_cents() -> int:
    """The price of the cheapest fixture where the hull is far away: one more part is loaded and checked, and that is all."""
    drawn = b.tab_on_tube()
    there = b.weldment(*drawn.parts, b.body(at=(0, 5000, 0)), welds=drawn.welds)
    found = plan(b.request(there, alternatives=1), b.plain_shelf(), deadline=Deadline(lambda: 60.0))
    assert found.status == "optimal"
    return found.alternatives[0].cost.total_cents


def judged(seed: int, least_cents: int = 0) -> str:
    """Plan about a hull and judge the plan; returns what came of it."""
    drawn = b.tab_on_tube()
    request = b.request(b.weldment(*drawn.parts, a_body(Random(seed)), welds=drawn.welds), alternatives=1)
    found = plan(request, b.plain_shelf(), deadline=Deadline(lambda: 20.0))
    for alternative in found.alternatives:
        assert all(finding.ok for finding in check_alternative(request, b.plain_shelf(), alternative)), seed
        assert list(Judge(request, alternative).faults()) == [], seed
        assert alternative.cost.total_cents >= least_cents, seed
    because = found.refused.because[0].rule if found.refused and found.refused.because else ""
    return f"{found.status} {because}".strip()


def test_a_plan_about_a_hull() -> None:
    assert judged(OPTIMAL) == "optimal"


@pytest.mark.slow
def test_plans_about_many_hulls() -> None:
    came = [judged(seed, plain_cents()) for seed in range(DRAWN)]
    print({word: came.count(word) for word in sorted(set(came))})
    assert sum(word == "optimal" for word in came) >= DRAWN // 3
