"""Plans read back: structure is judged here, whether the plan is right is for the checks."""

from __future__ import annotations

import json
from collections.abc import Callable
from typing import Any

import pytest

from inventory.errors import InvalidDocument
from service.documents import read_plan, sound_plan_document
from solver.plans import LeftOut, Permission, Purchase, PurchaseLine, Reason, Refused, Relaxation
from tests.service.documents import samples
from tests.service.documents.samples import dropped, planted

A = "/alternatives/0"


def pointers(document: Any, read: Callable[[Any], Any] = sound_plan_document) -> list[str]:
    with pytest.raises(InvalidDocument) as refusal:
        read(json.dumps(document))
    return [fault.pointer for fault in refusal.value.faults]


def test_a_plan_to_be_checked_comes_as_it_was_written() -> None:
    document = planted(samples.plan(), f"{A}/placements/0/colour", "red")
    assert sound_plan_document(json.dumps(document)) == document


def test_fields_beyond_the_contract_are_passed_over() -> None:
    document = planted(samples.plan(), f"{A}/placements/0/colour", "red")
    assert read_plan(json.dumps(document)) == read_plan(samples.plan())


def test_a_plan_without_alternatives_is_a_plan() -> None:
    plan = read_plan({"format": "holdwright.plan/1", "status": "infeasible", "alternatives": [], "refused": {"because": []}})
    assert (plan.status, plan.alternatives, plan.refused, plan.stopped_by) == ("infeasible", (), Refused((), ()), None)


def test_what_was_left_out_is_read_with_its_price_or_without() -> None:
    first, second = LeftOut("lies.tilted", "lies on an edge", 900), LeftOut("stations", "more stations", None)
    written = [
        {"code": "lies.tilted", "text": "lies on an edge", "could_cost_cents": 900},
        {"code": "stations", "text": "more stations"},
    ]
    assert read_plan(samples.plan() | {"stopped_by": "scope", "left_out": written}).left_out == (first, second)
    assert read_plan(samples.plan()).left_out == ()


PLAN_FAULTS = [
    ("/left_out", [{"code": "stations"}], "/left_out/0/text"),
    ("/left_out", [{"code": "stations", "text": "", "could_cost_cents": 1.5}], "/left_out/0/could_cost_cents"),
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
    document = planted(samples.plan(), at, value)
    assert pointers(document) == pointers(document, read_plan) == [reported or at]


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
    stations = read_plan(document).alternatives[0].stations
    assert [(station.number, station.down, len(station.unload.moves)) for station in stations] == [(1, "-z", 1), (2, "-z", 1)]
    assert sound_plan_document(document) == document
    alternative["unload"].pop()
    assert pointers(document, read_plan) == [f"{A}/unload"]


UNSOUND = [
    (f"{A}/parts/0/solids/0/to", -1, f"{A}/parts/0/solids/0/to"),
    (f"{A}/placements/1/solids/0/frame", [[2, 0, 0, 0], [0, 1, 0, 0], [0, 0, 1, 0], [0, 0, 0, 1]], None),
    (f"{A}/placements/0/solids/0/outline", [[0, 0], [10, 10], [10, 0], [0, 10]], None),
]


@pytest.mark.parametrize(("at", "value", "reported"), UNSOUND)
def test_a_body_that_is_no_solid_is_a_fault_of_the_plan_read_but_the_checks_to_judge(
    at: str, value: Any, reported: str | None
) -> None:
    document = planted(samples.plan(), at, value)
    assert sound_plan_document(document) == document
    (found,) = pointers(document, read_plan)
    assert found.startswith(reported or at)


def then() -> samples.Plain:
    """What a repair leads to."""
    return {"then_total_cents": 0, "plan": samples.plan()["alternatives"][0]}


def refusal() -> samples.Plain:
    """A refusal with a pair of stops to buy, a rule to relax and a table to allow."""
    stops = {"item": "stop", "count": 2, "price_cents": 8000}
    repairs: list[samples.Plain] = [
        {"do": "buy", **stops, "also": [dict(stops)], **then()},
        {"do": "relax", "rule": "clear.weld", "from": 15, "to": 7.5, **then()},
        {"do": "allow", "rule": "tables", "from": "T1", "to": "T2", **then()},
    ]
    because = [{"rule": "stock.counted", "subject": "stop", "text": "stop: 4 needed, 2 free"}]
    refused = {"because": because, "would_help": repairs}
    return {"format": "holdwright.plan/1", "status": "infeasible", "alternatives": [], "refused": refused}


def test_repairs_are_read_by_what_they_do() -> None:
    refused = read_plan(refusal()).refused
    assert refused is not None and refused.because == (Reason("stock.counted", "stop", "stop: 4 needed, 2 free"),)
    bought, relaxed, allowed = refused.would_help
    outcome = read_plan(samples.plan()).alternatives[0]
    assert bought == Purchase((PurchaseLine("stop", 2, 8000),) * 2, outcome)
    assert relaxed == Relaxation("clear.weld", 15, 7.5, outcome)
    assert allowed == Permission("tables", "T1", "T2", outcome)


W = "/refused/would_help"
REPAIR_FAULTS = [
    ("/refused/because/0/text", 3),
    (f"{W}/0/do", "wish"),
    (f"{W}/0/also/0/count", "two"),
    (f"{W}/1/to", "less"),
    (f"{W}/2/to", 7),
    (f"{W}/2/plan/cost/total_cents", "12"),
]


@pytest.mark.parametrize(("at", "value"), REPAIR_FAULTS)
def test_one_fault_of_a_refusal(at: str, value: Any) -> None:
    assert pointers(planted(refusal(), at, value)) == [at]


def test_the_faults_of_every_body_are_told_at_once() -> None:
    document = planted(refusal(), f"{W}/0/plan/parts/0/solids/0/to", -1)
    document = planted(document, f"{W}/2/plan/placements/1/solids/0/to", -1)
    assert pointers(document, read_plan) == [f"{W}/0/plan/parts/0/solids/0/to", f"{W}/2/plan/placements/1/solids/0/to"]


def test_what_only_the_checks_can_judge_is_read() -> None:
    document = planted(samples.plan(), f"{A}/placements/1/stands_on", "nobody")
    document = planted(document, f"{A}/placements/0/item", "no such item")
    document = planted(document, f"{A}/placements/0/hole", "ZZ99")
    assert sound_plan_document(document) == document
    assert read_plan(document).alternatives[0].placements[1].stands_on == "nobody"


def test_a_longer_circle_is_one_fault() -> None:
    document = samples.plan()
    placements = document["alternatives"][0]["placements"]
    placements += [{**placements[1], "id": "p3", "stands_on": "p2"}, {**placements[1], "id": "p4", "stands_on": "p5"}]
    placements.append({**placements[1], "id": "p5", "stands_on": "p4"})
    placements[0]["stands_on"] = "p3"
    assert pointers(document) == [f"{A}/placements/0/stands_on", f"{A}/placements/3/stands_on"]
