"""Whatever a plan document holds, the checker answers with findings: nothing raises, nothing hangs, spoilt fields are seen."""

from __future__ import annotations

import copy
import random
from collections.abc import Iterator
from typing import Any

import pytest

from solver.checks import check
from tests.solver.checks import tab_job as job

ODD: tuple[Any, ...] = (
    None,
    -1,
    0,
    1e300,
    -1e-300,
    "",
    "tube",
    "A0",
    [],
    {},
    [[]],
    True,
    float("nan"),
    3.5,
    [0, 0, 0],
    {"id": 1},
)
FREE = {"title", "why", "differs", "findings", "solve_s", "rules_version"}
"""Words for people, and what the checks do not depend on."""


def places(value: Any, path: tuple[Any, ...] = ()) -> Iterator[tuple[Any, ...]]:
    """Yield the path of every value in a document."""
    if path:
        yield path
    if isinstance(value, dict):
        for key, inner in value.items():
            if key not in FREE:
                yield from places(inner, (*path, key))
    elif isinstance(value, list):
        for k, inner in enumerate(value):
            yield from places(inner, (*path, k))


def spoilt(path: tuple[Any, ...], odd: Any) -> dict[str, Any]:
    """Return the plan with one value replaced."""
    document = copy.deepcopy(job.plan())
    holder: Any = document
    for key in path[:-1]:
        holder = holder[key]
    holder[path[-1]] = odd
    return document


@pytest.mark.parametrize("seed", range(8))
def test_odd_values_anywhere_never_raise(seed: int) -> None:
    chance = random.Random(seed)
    plan, request, stock = job.plan(), job.request(), job.stock()
    everywhere = list(places(plan))
    for path in chance.sample(everywhere, 20):
        check(request, stock, spoilt(path, chance.choice(ODD)))


def test_every_shallow_field_that_goes_missing_is_seen() -> None:
    request, stock = job.request(), job.stock()
    unseen, tried = [], set()
    for path in places(job.plan()):
        kind = tuple(key for key in path if isinstance(key, str))
        if 2 < len(path) <= 5 and isinstance(path[-1], str) and kind not in tried:
            tried.add(kind)
            document = copy.deepcopy(job.plan())
            holder: Any = document
            for key in path[:-1]:
                holder = holder[key]
            del holder[path[-1]]
            if check(request, stock, document).ok:
                unseen.append(path)
    optional = {"cutouts", "open_solids", "setting_mm", "stands_on", "hole", "bin", "buy"}
    assert [path for path in unseen if path[-1] not in optional] == []


def test_a_document_that_is_no_plan_is_unreadable() -> None:
    for document in ({}, {"alternatives": 3}, {"alternatives": [3]}, {"alternatives": ["x"]}, {"alternatives": [None]}):
        assert {f.rule for f in check(job.request(), job.stock(), document).failed} == {"document.readable"}
