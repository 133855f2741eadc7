"""Plans read back: structure is judged here, whether the plan is right is for the checks."""

from __future__ import annotations

import json
from typing import Any

import pytest

from inventory.errors import InvalidDocument
from service.documents import read_plan
from tests.service.documents import samples
from tests.service.documents.samples import dropped, planted

A = "/alternatives/0"


def pointers(document: Any) -> list[str]:
    with pytest.raises(InvalidDocument) as refusal:
        read_plan(json.dumps(document))
    return [fault.pointer for fault in refusal.value.faults]


def test_a_plan_comes_back_as_it_was_written() -> None:
    document = planted(samples.plan(), f"{A}/placements/0/colour", "red")
    assert read_plan(json.dumps(document)) == document


def test_a_plan_without_alternatives_is_a_plan() -> None:
    assert read_plan({"format": "holdwright.plan/1", "status": "infeasible", "alternatives": [], "refused": {"because": []}})


PLAN_FAULTS = [
    ("/format", "holdwright.request/1", None),
    ("/status", "good", None),
    ("/alternatives", {}, None),
    (f"{A}/cost/total_cents", "12", None),
    (f"{A}/cost/total_cents", 12.5, None),
    (f"{A}/lie/down", "down", None),
    (f"{A}/weldment_to_table", [[1, 0, 0, 0]] * 3, None),
    (f"{A}/weldment_to_table/0/3", float("nan"), None),
    (f"{A}/parts/0/solids/0/outline/0", [0], None),
    (f"{A}/placements/0/hole", "7C", None),
    (f"{A}/placements/0/hole", None, None),
    (f"{A}/placements/0/turn", True, None),
    (f"{A}/placements/0/locates/0/as", "top", None),
    (f"{A}/placements/0/contacts/0/normal", [0, 0], None),
    (f"{A}/placements/0/id", "t0", None),
    (f"{A}/placements/0/id", "table", None),
    (f"{A}/placements/0/stands_on", "p2", None),
    (f"{A}/placements/1/stands_on", "p2", None),
    (f"{A}/unload", 3, None),
    (f"{A}/unload/moves/0/distance", "far", None),
    (f"{A}/lie", None, None),
    (f"{A}/findings/0", {"rule": "clear.weld", "subject": "p1", "ok": "yes"}, f"{A}/findings/0/ok"),
]


@pytest.mark.parametrize(("at", "value", "reported"), PLAN_FAULTS)
def test_one_fault_of_a_plan(at: str, value: Any, reported: str | None) -> None:
    assert pointers(planted(samples.plan(), at, value)) == [reported or at]


NEEDED = ("table", "cost", "setup_s", "cycle_s", "parts", "placements", "part_contacts", "welds", "load", "unload", "kit")


@pytest.mark.parametrize("field", NEEDED)
def test_what_an_alternative_needs(field: str) -> None:
    assert pointers(dropped(samples.plan(), f"{A}/{field}")) == [f"{A}/{field}"]


def test_stations_stand_for_the_one_lie() -> None:
    document = samples.plan()
    alternative = document["alternatives"][0]
    lie, move = alternative.pop("lie"), alternative.pop("weldment_to_table")
    assert pointers(document) == [f"{A}/lie", f"{A}/weldment_to_table"]
    alternative["stations"] = [{"station": k, "lie": lie, "weldment_to_table": move} for k in (1, 2)]
    alternative["unload"] = [{**alternative["unload"], "station": k} for k in (1, 2)]
    assert read_plan(document)["alternatives"][0]["stations"][1]["station"] == 2


def test_what_only_the_checks_can_judge_is_read() -> None:
    document = planted(samples.plan(), f"{A}/placements/1/stands_on", "nobody")
    document = planted(document, f"{A}/placements/0/item", "no such item")
    document = planted(document, f"{A}/placements/0/hole", "ZZ99")
    assert read_plan(document) == document


def test_a_longer_circle_is_one_fault() -> None:
    document = samples.plan()
    placements = document["alternatives"][0]["placements"]
    placements += [{**placements[1], "id": "p3", "stands_on": "p2"}, {**placements[1], "id": "p4", "stands_on": "p5"}]
    placements.append({**placements[1], "id": "p5", "stands_on": "p4"})
    placements[0]["stands_on"] = "p3"
    assert pointers(document) == [f"{A}/placements/0/stands_on", f"{A}/placements/3/stands_on"]
