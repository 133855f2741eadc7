"""Sound bodies spoilt at random: every one is answered, none by a mistake of the server's."""

from __future__ import annotations

import copy
import json
import random
from collections.abc import Iterator
from typing import Any

import pytest

from service.documents import request_document
from tests.service.http.conftest import House
from tests.solver.checks import tab_job

ODD: tuple[Any, ...] = (
    None, True, -1, 0, 1e308, 10**30, -0.0, "", "x", "A1", "\ud800", "ω" * 300, [], {}, [[]], [None], {"a": {}},
    [1, 2, 3], ["table"],
)  # fmt: skip


@pytest.mark.parametrize("seed", range(4))
def test_spoilt_bodies_are_answered(house: House, seed: int) -> None:
    house.stock.now = tab_job.stock()
    request, plan = request_document(tab_job.request()), tab_job.plan()
    made = house.call("POST", "/v1/plans", json=request, headers={"Prefer": "wait=20"}).json()["id"]
    again = {"rank": 1, "without": {"items": {"stop": 1}, "holes": ["C7"]}, "changes": {"quantity": 3}}
    chance = random.Random(seed)
    bodies = [("/v1/plans", request), ("/v1/checks", {"request": request, "plan": plan}), (f"/v1/plans/{made}/replan", again)]
    for address, sound in bodies:
        for _ in range(12):
            body = json.dumps(spoilt(sound, chance)).encode()
            answer = house.call("POST", address, content=body, headers={"Content-Type": "application/json"})
            # 503: a full queue is an answer too
            assert answer.status_code in (200, 202, 422, 503), (body, answer.text)


def spoilt(document: Any, chance: random.Random) -> Any:
    """Return a copy with one or a few values replaced, removed, repeated or added."""
    document = copy.deepcopy(document)
    for _ in range(chance.choice((1, 1, 2, 4))):
        *way, last = chance.choice([path for path in paths(document) if path])
        holder = document
        for step in way:
            holder = holder[step]
        what = chance.random()
        if what < 0.6:
            holder[last] = copy.deepcopy(chance.choice(ODD))
        elif isinstance(holder, list):
            holder.append(copy.deepcopy(holder[last]))
        elif what < 0.8:
            del holder[last]
        else:
            holder[str(chance.choice(ODD))] = 1
    return document


def paths(value: Any, path: tuple[Any, ...] = ()) -> Iterator[tuple[Any, ...]]:
    yield path
    entries = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    for key, entry in entries:
        yield from paths(entry, (*path, key))
