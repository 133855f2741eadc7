"""Whatever a document is turned into, reading it ends soon, with values or with faults that can be written down."""

from __future__ import annotations

import copy
import json
import random
from collections.abc import Callable, Iterator
from typing import Any

import pytest

from inventory.errors import InvalidDocument
from service.documents import read_item, read_plan, read_request, read_stock, read_table
from tests.service.documents import samples
from tests.service.documents.test_request_faults import full_request

STOCK = read_stock(samples.stock())
JUNK: list[Any] = [
    None, True, 0, -1, 1.5, 1e308, -1e308, float("nan"), float("inf"), 5e-324, 10**30, "", "a", "\ud800", "\x00", "x" * 300,
    "any", "best", "C7", "-z", "table", [], {}, [[]], [0], [0, 0], [0, 0, 0], [1, 2, 3, 4], [None], [["a"]], [0, 0, 5e-324],
    [[0, 0], [0, 0], [0, 0]], {"a": 1}, {"from": 1, "to": 0}, {"from": "2027-01-01", "to": "9999-12-31"},
    {"plan": "a", "rank": 1}, {"\ud800": 1}, {"": {}}, {"~1/": 0},
]  # fmt: skip
SUBJECTS: list[tuple[str, Callable[[], Any], Callable[[Any], Any]]] = [
    ("request", full_request, lambda raw: read_request(raw, STOCK)),
    ("stock", samples.stock, read_stock),
    ("item", samples.clamp, read_item),
    ("table", samples.table, read_table),
    ("plan", samples.plan, read_plan),
]


def places(value: Any, path: tuple[Any, ...] = ()) -> Iterator[tuple[Any, ...]]:
    if path:
        yield path
    if isinstance(value, dict):
        for key in value:
            yield from places(value[key], (*path, key))
    elif isinstance(value, list):
        for index in range(len(value)):
            yield from places(value[index], (*path, index))


def mangled(document: Any, chance: random.Random) -> Any:
    """Replace, drop, add and repeat a few things anywhere in a document."""
    for _ in range(chance.randrange(1, 6)):
        *steps, last = chance.choice(list(places(document)))
        here = document
        for step in steps:
            here = here[step]
        what = chance.random()
        if what < 0.6:
            here[last] = copy.deepcopy(chance.choice(JUNK))
        elif what < 0.75:
            del here[last]
        elif isinstance(here, dict):
            here[chance.choice(["zz", "from", "cuts", "\ud801", "id", "a/b~c"])] = copy.deepcopy(chance.choice(JUNK))
        else:
            here.append(copy.deepcopy(chance.choice(here)))
        if not isinstance(document, dict) or not document:
            break
    return document


@pytest.mark.parametrize(("name", "sample", "read"), SUBJECTS, ids=[name for name, _, _ in SUBJECTS])
def test_mangled_documents_raise_nothing_but_faults(name: str, sample: Callable[[], Any], read: Callable[[Any], Any]) -> None:
    chance = random.Random(name)
    refused = 0
    for _ in range(60):
        document = mangled(sample(), chance)
        raw = json.dumps(document, ensure_ascii=chance.random() < 0.5).encode("utf-8", "surrogatepass")
        for form in (raw, document):
            try:
                read(form)
            except InvalidDocument as refusal:
                refused += 1
                faults = [[fault.pointer, fault.wrong, fault.accepted] for fault in refusal.faults]
                json.dumps(faults, ensure_ascii=False).encode()
                assert all(wrong and accepted for _, wrong, accepted in faults)
                assert len({(pointer, wrong) for pointer, wrong, _ in faults}) == len(faults)
    assert refused > 40
