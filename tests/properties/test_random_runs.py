"""Random weldments in two sizes, or as left and right hand, on one set-up: every answer checked, and judged by exact meshes."""

from __future__ import annotations

import time
from collections import Counter
from dataclasses import replace
from random import Random

import numpy as np
import pytest

from inventory.errors import InvalidDocument
from inventory.shapes import Point3
from inventory.stock import StockSnapshot
from service.documents import plan_document
from solver.checks import check
from solver.deadline import Deadline
from solver.drafting.mirrored import mirrored
from solver.laying.fit import fit_faults
from solver.planning import plan
from solver.plans import Plan
from solver.request import Request
from solver.variants import Variant, alone
from solver.weldment import Part, Weldment
from tests.outside.judge import Judge
from tests.properties.shelves import SHOPS, shop
from tests.properties.shops import a_request
from tests.properties.structures import a_structure

LIMIT_S = 5.0
RUNS = 60


def further(point: Point3, axis: int, by: float) -> Point3:
    """Return a point so much further along an axis."""
    x, y, z = (value + by * (k == axis) for k, value in enumerate(point))
    return x, y, z


def stretched(drawn: Weldment, axis: int, at: float, by: float) -> Weldment | None:
    """Return a weldment longer by so much along an axis from a place on; None if a part lies across it and cannot grow there."""
    parts: list[Part] = []
    for part in drawn.parts:
        frame = part.pose.frame()
        ring = np.array(part.section.outline)
        corners = [frame @ np.array([u, v, w, 1.0]) for u, v in ring for w in (0.0, part.length)]
        low, high = min(c[axis] for c in corners), max(c[axis] for c in corners)
        along = part.pose.along[axis]
        if high <= at + 1e-6:
            parts.append(part)
        elif low >= at - 1e-6 or (abs(along) > 1 - 1e-9 and not part.cuts and part.section.shape != "plate"):
            start = part.pose.at[axis]
            shift = by if low >= at - 1e-6 or start > at else 0.0
            moved = further(part.pose.at, axis, shift)
            grows = 0.0 if low >= at - 1e-6 else by
            parts.append(replace(part, length=part.length + grows, pose=replace(part.pose, at=moved)))
        else:
            return None
    welds = []
    for weld in drawn.welds:
        path = tuple(further(point, axis, by if point[axis] > at + 1e-6 else 0.0) for point in weld.path)
        welds.append(replace(weld, path=path))
    return replace(drawn, parts=tuple(parts), welds=tuple(welds), tolerances=(), open_dimensions=())


def a_run(number: int) -> tuple[Request, StockSnapshot]:
    """Return a random structure of two or three parts, and another size or the other hand of it, for one of the shops."""
    draw = Random(number)
    while True:
        drawn, stock = replace(a_structure(draw, 2 + number % 2), tolerances=(), open_dimensions=()), shop(draw.randrange(SHOPS))
        asked = a_request(draw, drawn, stock, time_limit_s=LIMIT_S, turn=(0.0,), down=("-z",), stations=1, alternatives=1)
        asked = replace(asked, pins=(), avoid=(), keep=None)
        if number % 3 == 0:
            return replace(asked, variants=(Variant("other hand", 20, mirrored(drawn, "x"), "x"),)), stock
        at = draw.uniform(50, 300)
        size = stretched(drawn, draw.randrange(2), at, draw.choice((3.0, 8.0, 12.5, 20.0)))
        if size is None or size == drawn or list(fit_faults(size.parts, size.welds, asked.rules["fit.overlap"])):
            continue
        try:
            return replace(asked, variants=(Variant("longer", 20, size),)), stock
        except InvalidDocument:
            continue


def judged(request: Request, stock: StockSnapshot) -> Plan:
    """Plan a run; look at all that is promised of it, for every weldment by the checker and by exact meshes."""
    start = time.process_time()
    found = plan(request, stock, deadline=Deadline(lambda: LIMIT_S - (time.process_time() - start)))
    report = check(request, stock, plan_document(found))
    assert report.ok, [(f.rule, f.subject, f.text) for f in report.failed][:5]
    assert found.work["dropped"] == 0, "a plan of ours failed its check"
    for alternative in found.alternatives:
        assert list(Judge(request, alternative).faults()) == []
        for asked, variant in zip(request.variants, alternative.variants, strict=True):
            assert list(Judge(request.of_variant(asked), alone(alternative, variant)).faults()) == []
    return found


@pytest.mark.parametrize("number", [1])
def test_a_random_run_is_answered(number: int) -> None:
    judged(*a_run(number))


@pytest.mark.slow
def test_random_runs_are_answered() -> None:
    statuses: Counter[str] = Counter()
    for number in range(RUNS):
        request, stock = a_run(1000 + number)
        found = judged(request, stock)
        statuses[f"{'hands' if request.variants[0].mirror else 'sizes'} {found.status}"] += 1
    print(dict(statuses))
    assert sum(count for status, count in statuses.items() if status.endswith(("optimal", "feasible"))) >= RUNS // 4, statuses
