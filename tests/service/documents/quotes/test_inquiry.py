"""Inquiries as they are read: equal requests together, every fault at once."""

from __future__ import annotations

import copy
from typing import Any

import pytest

from inventory.errors import InvalidDocument
from service.documents.quotes.inquiry import EXAMPLE, Inquiry, read_inquiry
from tests.service.asked import DEMO_STOCK, asked

STRIP = asked("strip")


def read(document: dict[str, Any], plans: dict[str, dict[str, Any]] | None = None) -> Inquiry:
    return read_inquiry(document, DEMO_STOCK, (plans or {}).get, 300)


def inquiry(*lines: dict[str, Any], **more: Any) -> dict[str, Any]:
    wanted = list(lines) or [{"request": "strip", "quantity": 3}]
    return {"format": "holdwright.inquiry/1", "requests": {"strip": copy.deepcopy(STRIP)}, "lines": wanted, **more}


def faults(document: dict[str, Any]) -> dict[str, str]:
    with pytest.raises(InvalidDocument) as refused:
        read(document)
    return {fault.pointer: fault.wrong for fault in refused.value.faults}


def test_requests_that_differ_in_quantity_alone_are_one() -> None:
    lines = [
        {"request": "strip", "quantity": 3},
        {"request": {**STRIP, "quantity": 99}, "quantity": 7, "name": "again"},
        {"plan": "p1", "quantity": 3},
        {"request": {**STRIP, "seed": 2}, "quantity": 3},
    ]
    found = read(inquiry(*lines), {"p1": {**STRIP, "quantity": 5, "keep": {"plan": "p0", "rank": 1}}})
    assert [line.group for line in found.lines] == [0, 0, 0, 1]
    assert (found.quantities(0), found.quantities(1)) == ((3, 7), (3,))
    assert found.groups[0].at(7)["quantity"] == 7


def test_one_alternative_is_enough_unless_more_are_asked_for() -> None:
    alone = {name: value for name, value in STRIP.items() if name != "alternatives"}
    found = read(
        inquiry({"request": alone, "quantity": 1}, {"request": {**alone, "alternatives": 3}, "quantity": 1}, requests={})
    )
    assert [group.at(1)["alternatives"] for group in found.groups] == [1, 3]


def test_a_price_at_once_has_a_second() -> None:
    found = read(
        inquiry({"request": {**STRIP, "time_limit_s": 0.4}, "quantity": 1}, {"request": "strip", "quantity": 1}, price_only=True)
    )
    assert [group.at(1)["time_limit_s"] for group in found.groups] == [0.4, 1.0]


def test_every_fault_is_named_at_once() -> None:
    broken = inquiry(
        {"request": "stripe", "quantity": 3}, {"quantity": 3}, {"request": "strip", "plan": "p1", "quantity": 1},
        {"plan": "p9", "quantity": 1}, {"request": {**STRIP, "seed": -1, "tables": []}, "quantity": 1},
        {"request": {**STRIP, "time_limit_s": 301}, "quantity": 1}, {"request": {**STRIP, "keep": {"plan": "p", "rank": 1}}, "quantity": 1},
    )  # fmt: skip
    found = faults(broken)
    assert {
        "/lines/0/request", "/lines/1", "/lines/2", "/lines/3/plan", "/lines/4/request/seed", "/lines/4/request/tables",
        "/lines/5/request/time_limit_s", "/lines/6/request/keep", "/requests/strip",
    } == set(found)  # fmt: skip


@pytest.mark.parametrize(
    ("change", "pointer"),
    [
        ({"lines": []}, "/lines"),
        ({"lines": [{"request": "strip", "quantity": 0}]}, "/lines/0/quantity"),
        ({"lines": [{"request": "strip", "quantity": 10_000_001}]}, "/lines/0/quantity"),
        ({"lines": [{"request": 7, "quantity": 1}]}, "/lines/0/request"),
        ({"lines": [{"request": "strip", "quantity": 1}] * 10_001}, "/lines"),
        ({"price": True}, "/price"),
        ({"format": "holdwright.quote/1"}, "/format"),
    ],
)  # fmt: skip
def test_what_an_inquiry_may_not_be(change: dict[str, Any], pointer: str) -> None:
    assert pointer in faults(inquiry() | change)


def test_the_nearest_that_is_accepted() -> None:
    assert read(inquiry(*[{"request": "strip", "quantity": 10_000_000}] * 10_000)).quantities(0) == (10_000_000,)


def test_the_example_is_an_inquiry() -> None:
    assert len(read_inquiry(EXAMPLE, DEMO_STOCK, lambda id: None, 300).groups) == 1
