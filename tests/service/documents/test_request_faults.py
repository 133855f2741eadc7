"""One fault planted, one fault reported, at its own pointer, with what would be accepted; many planted, as many reported."""

from __future__ import annotations

import copy
import json
import time
from collections.abc import Sequence
from dataclasses import replace
from typing import Any, NamedTuple

import pytest

from inventory.errors import Fault, InvalidDocument
from service.documents import read_plan, read_request, read_stock, request_document
from service.documents.request import FindAlternative
from tests.service.documents import samples
from tests.service.documents.samples import dropped, planted

STOCK = read_stock(samples.stock())
TUBES = 16
NAN, INFINITY = float("nan"), float("inf")
BOW_TIE = [[0, 0], [50, 50], [50, 0], [0, 50]]
MISSING = Ellipsis
"""Stands for a field taken away."""


class Planted(NamedTuple):
    """A fault: where it is planted, what is put there, where it is reported (if elsewhere), words of its remedy."""

    at: str
    value: Any
    remedy: str
    reported: str | None = None

    @property
    def pointer(self) -> str:
        """Where the fault is to be reported."""
        return self.at if self.reported is None else self.reported


W = "/weldment"


def a_cut(**changes: Any) -> dict[str, Any]:
    """Return a mitre of a tube 600 long."""
    return {"point": [0, 0, 560], "normal": [1, 0, 1], **changes}


RIPS = [a_cut(point=[5, 0, 0], normal=[1, 0, 0]), a_cut(point=[-5, 0, 0], normal=[-1, 0, 0])]
"""Two cuts along a tube that leave a strip of either wall."""

FAULTS = [
    Planted("/format", "holdwright.request/2", "holdwright.request/1"),
    Planted("/quantity", 0, "1 to 10000000"),
    Planted("/quantity", 10_000_001, "1 to 10000000"),
    Planted("/quantity", "5", "a whole number"),
    Planted("/quantity", True, "a whole number"),
    Planted("/quantity", 2.5, "a whole number"),
    Planted("/quantity", MISSING, "1 to 10,000,000"),
    Planted("/quantty", 5, "did you mean 'quantity'?"),
    Planted("/tables", [], "1 to 100 table ids"),
    Planted("/tables/1", "T9", "'T1'"),
    Planted("/tables/1", "T1", "each table once"),
    Planted("/needed/to", "2027-02-28", "not before"),
    Planted("/needed/from", "1 March", "YYYY-MM-DD"),
    Planted("/today", 20270301, "YYYY-MM-DD"),
    Planted("/today", "20270301", "YYYY-MM-DD"),
    Planted("/lie/down", [], "at least one"),
    Planted("/lie/down/1", "up", "-z, +z, -x"),
    Planted("/lie/down/1", "-z", "each side once"),
    Planted("/lie/turn/1", 360, "less than 360 degrees"),
    Planted("/lie/turn/1", "90", "a number"),
    Planted("/stations", 0, "1 to 50"),
    Planted("/stations", "most", '"best"'),
    Planted("/set_before", 1, "true or false"),
    Planted("/rules/base", "night shift", "'default'"),
    Planted("/rules/set/clear.wled", 3, "did you mean 'clear.weld'?"),
    Planted("/rules/set/clear.weld", -1, "0 to 200 mm"),
    Planted("/rules/set/clear.weld", INFINITY, "finite"),
    Planted("/without/items/stp", 1, "did you mean 'stop'?"),
    Planted("/without/items/stop", -1, "a whole number from 0"),
    Planted("/without/holes/0", "U1", "A1 to T10"),
    Planted("/without/holes/0", "7C", "such as C7"),
    Planted("/without/holes/1", "T2/B4", "'T1'"),
    Planted("/without/holes/1", "T1/B11", "A1 to T10"),
    Planted("/held", [], "an object"),
    Planted("/held/stp", 1, "did you mean 'stop'?"),
    Planted("/held/stop", 0, "a whole number from 1"),
    Planted("/shortage", "buy", "refuse or price"),
    Planted("/keep", {"plan": "abc"}, "rank", "/keep/rank"),
    Planted("/alternatives", 51, "1 to 50"),
    Planted("/time_limit_s", 0, "0.05 to 3600 s"),
    Planted("/time_limit_s", NAN, "a finite number"),
    Planted("/work_limit", -1, "units of work"),
    Planted("/seed", 2**31, "0 to 2147483647"),
    Planted(W, MISSING, "a weldment document"),
    Planted(W, [], "an object"),
    Planted(f"{W}/format", MISSING, "holdwright.weldment/1"),
    Planted(f"{W}/units", "cm", "mm or inch"),
    Planted(f"{W}/name", "x" * 201, "0 to 200 characters"),
    Planted(f"{W}/name", "bell\x07", "no control characters"),
    Planted(f"{W}/parts", {}, "a list"),
    Planted(f"{W}/parts/2/id", "x" * 65, "1 to 64 characters"),
    Planted(f"{W}/parts/2/id", "", "1 to 64 characters"),
    Planted(f"{W}/parts/2/id", "table", "another id"),
    Planted(f"{W}/parts/2/id", "t3", "each part id once", f"{W}/parts/3/id"),
    Planted(f"{W}/parts/2/material", "brass", "steel, stainless or aluminium"),
    Planted(f"{W}/parts/2/cuts", {}, "a list"),
    Planted(f"{W}/parts/2/cuts", [a_cut(normal=[0, 0, 0])], "it is normalised", f"{W}/parts/2/cuts/0/normal"),
    Planted(f"{W}/parts/2/cuts", [a_cut(point=[0, 0, 1e5])], "-20000 to 20000 mm", f"{W}/parts/2/cuts/0/point/2"),
    Planted(f"{W}/parts/2/cuts", [a_cut(point=[0, 0, float("nan")])], "", f"{W}/parts/2/cuts/0/point/2"),
    Planted(f"{W}/parts/2/cuts", [a_cut(angle=45)], "a known field: 'normal', 'point'", f"{W}/parts/2/cuts/0/angle"),
    Planted(f"{W}/parts/2/cuts", [a_cut()] * 9, "at most 8 cuts"),
    Planted(f"{W}/parts/2/cuts", [a_cut(point=[0, 0, 600], normal=[0, 0, -1])], "so that something is left"),
    Planted(f"{W}/parts/2/cuts", RIPS, "cuts that leave one piece"),
    Planted(f"{W}/parts/2/cuts", [a_cut(), a_cut()], "what the others leave", f"{W}/parts/2/cuts/1"),
    Planted(f"{W}/parts/2/cuts", [a_cut(point=[0, 0, 651])], "a cut that meets", f"{W}/parts/2/cuts/0"),
    Planted(f"{W}/parts/2/length", -600, "0.1 to 20000 mm"),
    Planted(f"{W}/parts/2/length", 20001, "0.1 to 20000 mm"),
    Planted(f"{W}/parts/2/length", MISSING, "the length of the square_tube"),
    Planted(f"{W}/parts/2/section/shape", "hexagon", "square_tube, rect_tube, round_tube"),
    Planted(f"{W}/parts/2/section/shape", MISSING, "shape"),
    Planted(f"{W}/parts/2/section/height", 30, "'corner_radius', 'shape', 'wall', 'width'"),
    Planted(f"{W}/parts/2/section/wall", 25, "less than 25 mm"),
    Planted(f"{W}/parts/2/section/wall", NAN, "a finite number"),
    Planted(f"{W}/parts/2/section/corner_radius", 26, "0 (sharp) to 25 mm"),
    Planted(f"{W}/parts/2/section/wall", 13, "0 (sharp) to 25 mm", f"{W}/parts/2/section/corner_radius"),
    Planted(f"{W}/parts/2/pose/at/1", 20001, "-20000 to 20000 mm"),
    Planted(f"{W}/parts/2/pose/at", [0, 0], "3 numbers"),
    Planted(f"{W}/parts/2/pose/along", [0, 0, 0], "not all zero"),
    Planted(f"{W}/parts/2/pose/up", [-2, 0, 0], "at an angle to along"),
    Planted(f"{W}/parts/15/length", 8, "its thickness, in the section"),
    Planted(f"{W}/parts/15/section/thickness", 0, "0.1 to 20000 mm"),
    Planted(f"{W}/parts/15/section/outline", BOW_TIE, "a simple outline"),
    Planted(f"{W}/parts/15/section/outline/3", [0, 0], "not closed by repetition"),
    Planted(f"{W}/parts/15/section/outline", [[k, k * k / 100] for k in range(1001)], "3 to 1000 vertices"),
    Planted(f"{W}/parts/15/section/cutouts/0/0", [0, 30], "metal all round", f"{W}/parts/15/section/cutouts/0"),
    Planted(f"{W}/parts/15/section/cutouts/1", [[50, 40], [80, 40], [80, 45]], "apart from each other"),
    Planted(f"{W}/parts/15/section/cutouts/0", BOW_TIE, "a simple outline"),
    Planted(f"{W}/parts/3/pose/at/1", 120, "fit.overlap", f"{W}/parts/3"),
    Planted(f"{W}/welds/1/id", "w0", "each weld id once"),
    Planted(f"{W}/welds/1/parts/1", "ghost", "a part: 'plate', 't0'"),
    Planted(f"{W}/welds/1/parts/1", "t0", "two different parts", f"{W}/welds/1/parts"),
    Planted(f"{W}/welds/1/parts", ["t0"], "2 part ids"),
    Planted(f"{W}/welds/1/path", [[0, 25, 50]], "2 to 1000 points"),
    Planted(f"{W}/welds/1/path/1", [0, 25, 50], "points that differ", f"{W}/welds/1/path"),
    Planted(f"{W}/welds/1/path/1", [600, 25, 55], "within 4 mm of both parts", f"{W}/welds/1/path"),
    Planted(f"{W}/welds/1/path/1", [605, 25, 50], "within 4 mm of both parts", f"{W}/welds/1/path"),
    Planted(f"{W}/welds/1/kind", "spot", "fillet, butt, corner, lap or flare"),
    Planted(f"{W}/welds/1/kind", "butt", "a throat", f"{W}/welds/1/leg"),
    Planted(f"{W}/welds/1/leg", MISSING, "leg or throat: a number from 0.1 to 100 mm"),
    Planted(f"{W}/welds/1/throat", 3, "one of the two"),
    Planted(f"{W}/welds/1/in_fixture", "half", "full, tack or none"),
    Planted(f"{W}/welds/1/side", [0, 0, 0], "not all zero"),
    Planted(f"{W}/tolerances/0/part", "ghost", "a part: 'plate', 't0'"),
    Planted(f"{W}/tolerances/0/relative_to", "t0", "another part"),
    Planted(f"{W}/tolerances/0/plus_minus", 0, "0.001 to 1000 mm"),
    Planted(f"{W}/tolerances/0/direction", [0, 0, 0], "not all zero"),
    Planted(f"{W}/open_dimensions/0/part", "ghost", "a part: 'plate', 't0'"),
    Planted(f"{W}/open_dimensions/0/range", [10, -10], "the lower first"),
]


def full_request() -> dict[str, Any]:
    """Return a valid request with every sort of entry to spoil: 15 tubes, a plate, two welds, a tolerance, an open dimension."""
    document = samples.request(TUBES - 1)
    weldment = document["weldment"]
    weldment["parts"].append(samples.plate("plate", 3000))
    weldment["welds"].append(samples.weld("w1"))
    weldment["tolerances"] = [{"part": "t0", "point": [0, 0, 50], "direction": [0, 1, 0], "plus_minus": 1}]
    weldment["open_dimensions"] = [{"part": "t1", "direction": [1, 0, 0], "range": [-10, 10]}]
    return document


def spoiled(document: dict[str, Any], fault: Planted) -> dict[str, Any]:
    if fault.value is MISSING:
        return dropped(document, fault.at)
    if "/section/cutouts/1" in fault.at or fault.at in ("/tables/1", "/lie/down/1"):
        here: Any = document
        for step in fault.at.split("/")[1:-1]:
            here = here[int(step)] if isinstance(here, list) else here[step]
        here.append(copy.deepcopy(fault.value))
        return document
    return planted(document, fault.at, copy.deepcopy(fault.value))


def faults_of(document: dict[str, Any]) -> Sequence[Fault]:
    with pytest.raises(InvalidDocument) as refusal:
        read_request(json.dumps(document).encode(), STOCK)
    return refusal.value.faults


def test_the_document_the_faults_are_planted_in_is_sound() -> None:
    request, warnings = read_request(full_request(), STOCK)
    assert len(request.weldment.parts) == TUBES
    assert warnings == []


@pytest.mark.parametrize("fault", FAULTS, ids=lambda fault: f"{fault.at}={str(fault.value)[:24]}")
def test_one_fault_is_reported_once_with_its_remedy(fault: Planted) -> None:
    found = faults_of(spoiled(full_request(), fault))
    assert [f.pointer for f in found] == [fault.pointer]
    assert fault.remedy in found[0].accepted
    assert found[0].wrong


TOGETHER = [
    Planted("/quantity", "5", ""),
    Planted("/quantty", 5, ""),
    Planted("/format", "holdwright.weldment/1", ""),
    Planted("/tables/1", "T9", ""),
    Planted("/needed/to", "2027-02-28", ""),
    Planted("/today", "soon", ""),
    Planted("/lie/down/1", "-z", ""),
    Planted("/lie/turn/1", 400, ""),
    Planted("/stations", "most", ""),
    Planted("/set_before", "no", ""),
    Planted("/rules/set/clear.wled", 3, ""),
    Planted("/rules/set/clear.weld", -1, ""),
    Planted("/without/items/spot", 1, ""),
    Planted("/without/items/stop", -1, ""),
    Planted("/without/holes/0", "U1", ""),
    Planted("/without/holes/1", "7C", ""),
    Planted("/shortage", "buy", ""),
    Planted("/keep", {"plan": "abc"}, "", "/keep/rank"),
    Planted("/alternatives", 0, ""),
    Planted("/time_limit_s", INFINITY, ""),
    Planted("/work_limit", -1, ""),
    Planted("/seed", 1.5, ""),
    Planted(f"{W}/name", "x" * 201, ""),
    Planted(f"{W}/parts/3/pose/at/1", 120, "", f"{W}/parts/3"),
    Planted(f"{W}/parts/4/id", "table", ""),
    Planted(f"{W}/parts/5/length", -600, ""),
    Planted(f"{W}/parts/6/section/wall", 25, ""),
    Planted(f"{W}/parts/7/pose/up", [1, 0, 0], ""),
    Planted(f"{W}/parts/8/pose/along", [0, 0, 0], ""),
    Planted(f"{W}/parts/9/pose/at/1", 25000, ""),
    Planted(f"{W}/parts/10/material", "brass", ""),
    Planted(f"{W}/parts/11/colour", "red", ""),
    Planted(f"{W}/parts/12/section/shape", "hexagon", ""),
    Planted(f"{W}/parts/13/pose", MISSING, ""),
    Planted(f"{W}/parts/14/length", NAN, ""),
    Planted(f"{W}/parts/15/section/outline", BOW_TIE, ""),
    Planted(f"{W}/welds/0/path/1", [600, 25, 60], "", f"{W}/welds/0/path"),
    Planted(f"{W}/welds/1/id", "w0", ""),
    Planted(f"{W}/tolerances/0/part", "t99", ""),
    Planted(f"{W}/open_dimensions/0/range", [10, -10], ""),
]


def test_forty_kinds_of_fault_in_one_request_give_forty_faults() -> None:
    document = full_request()
    for fault in TOGETHER:
        document = spoiled(document, fault)
    found = faults_of(document)
    assert sorted(f.pointer for f in found) == sorted(fault.pointer for fault in TOGETHER)
    assert len(found) == 40


def test_faults_come_in_the_documents_own_order() -> None:
    document = full_request()
    for fault in TOGETHER:
        document = spoiled(document, fault)
    pointers = [f.pointer for f in faults_of(document)]
    parts = [pointer for pointer in pointers if pointer.startswith(f"{W}/parts")]
    assert parts == sorted(parts, key=lambda pointer: int(pointer.split("/")[3]))


def test_a_part_at_fault_does_not_make_the_names_of_it_unknown() -> None:
    document = planted(full_request(), f"{W}/parts/0/length", -1)
    assert [f.pointer for f in faults_of(document)] == [f"{W}/parts/0/length"]


def test_a_part_whose_id_cannot_be_read_makes_no_name_unknown() -> None:
    document = planted(full_request(), f"{W}/parts/0/id", 7)
    assert [f.pointer for f in faults_of(document)] == [f"{W}/parts/0/id"]


def test_without_stock_tables_items_and_holes_are_not_judged() -> None:
    document = planted(planted(full_request(), "/tables/0", "T9"), "/without/holes/0", "ZZ99")
    request, _ = read_request(document)
    assert request.tables == ("T9",)


def test_leaving_out_more_than_there_is_is_a_warning() -> None:
    request, warnings = read_request(planted(full_request(), "/without/items/stop", 99), STOCK)
    assert request.without.items == {"stop": 99}
    assert warnings == ["without 99 of stop: only 7 free, none is left"]


def test_pieces_promised_to_the_request_itself_are_read_and_written_back() -> None:
    request, _ = read_request({**full_request(), "held": {"stop": 4}}, STOCK)
    assert request.held == {"stop": 4} and request_document(request)["held"] == {"stop": 4}
    assert read_request(full_request(), STOCK)[0].held == {}


def test_a_placement_kept_may_not_be_named_like_a_part() -> None:
    kept = samples.plan()["alternatives"][0]
    (alternative,) = read_plan(samples.plan()).alternatives
    assert read_request({**full_request(), "keep": kept}, STOCK)[0].keep == alternative
    kept["parts"][0]["id"] = "other"
    kept["placements"][1]["id"] = "t0"
    assert [f.pointer for f in faults_of({**full_request(), "keep": kept})] == ["/keep/placements/1/id"]


def test_an_alternative_named_by_plan_and_rank_is_looked_up_as_the_request_is_read() -> None:
    (alternative,) = read_plan(samples.plan()).alternatives
    plans = {("p1", 1): replace(alternative, parts=())}
    named = {**full_request(), "keep": {"plan": "p1", "rank": 1}}
    found, _ = read_request(named, STOCK, find_alternative=lambda plan, rank: plans.get((plan, rank)))
    assert found.keep == plans[("p1", 1)]


def kept_by_name(find: FindAlternative | None, **keep: Any) -> list[str]:
    with pytest.raises(InvalidDocument) as refused:
        read_request({**full_request(), "keep": keep}, STOCK, find_alternative=find)
    return [f"{fault.pointer}: {fault.wrong}" for fault in refused.value.faults]


def test_an_alternative_that_cannot_be_looked_up_is_a_fault() -> None:
    (alternative,) = read_plan(samples.plan()).alternatives
    first, *others = alternative.placements
    clashing = replace(alternative, placements=(replace(first, id="t1"), *others))
    assert kept_by_name(None, plan="p1", rank=1) == ["/keep: there are no plans to look in here"]
    assert kept_by_name(lambda *_: None, plan="p1", rank=9) == ["/keep: there is no alternative plan 'p1', rank 9"]
    assert kept_by_name(lambda *_: alternative, plan="p1", rank=0)[0].startswith("/keep/rank: ")
    assert kept_by_name(lambda *_: clashing, plan="p1", rank=1) == ["/keep: 't1' is a placement there and a part here"]


@pytest.mark.parametrize("raw", ["[]", "3", "null", '"request"'])
def test_what_is_no_object_at_all_is_one_fault(raw: str) -> None:
    with pytest.raises(InvalidDocument) as refused:
        read_request(raw, STOCK)
    assert [fault.pointer for fault in refused.value.faults] == [""]


@pytest.mark.parametrize("wrong", [1, "U1", "??"])
def test_of_more_faults_than_can_be_listed_a_thousand_are_named_and_that_there_are_more(wrong: Any) -> None:
    document = samples.request()
    document["without"]["holes"] = [wrong if isinstance(wrong, int) else f"{wrong}{k}" for k in range(20_000)]
    began = time.process_time()
    with pytest.raises(InvalidDocument) as refusal:
        read_request(document, STOCK)
    assert time.process_time() - began < 15  # each fault was once held against all before it: more than a minute
    *named, last = refusal.value.faults
    assert (len(named), last.wrong) == (1000, "there are more faults than are listed")
    assert {fault.pointer.rpartition("/")[0] for fault in named} == {"/without/holes"}
