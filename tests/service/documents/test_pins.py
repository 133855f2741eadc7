"""Pins and pieces to avoid on the wire: read and written back, every fault at its own pointer, also from a command line's words."""

from __future__ import annotations

import copy
import json
from typing import Any

import pytest

from inventory.errors import Fault, InvalidDocument
from service.documents import json_schema, read_request, read_stock, request_document
from service.documents.pins.piece_words import piece_entries
from solver.described_pieces import DescribedPiece
from solver.request import Request
from tests.service.documents import samples
from tests.solver.checks import tab_job

STOCK = read_stock(samples.stock())
ITEM = next(iter(STOCK.items))
PART = samples.request()["weldment"]["parts"][0]["id"]


def asked(**members: Any) -> dict[str, Any]:
    return {**copy.deepcopy(samples.request()), "keep": None, **members}


def faults(**members: Any) -> list[Fault]:
    with pytest.raises(InvalidDocument) as refused:
        read_request(asked(**members), STOCK)
    return list(refused.value.faults)


def test_every_field_is_read_and_written_back() -> None:
    entries = [
        {"item": ITEM, "part": PART, "as": "side"}, {"hole": "B3"}, {"hole": "C4", "table": "T1"}, {"row": 3, "column": "C"},
        {"part": PART, "face": "end"}, {"table": "T1"},
    ]  # fmt: skip
    request, _ = read_request(asked(pins=entries, avoid=entries[:1]), STOCK)
    assert request.pins[0] == DescribedPiece(item=ITEM, part=PART, role="side")
    assert request.pins[1].hole == (1, 2) and request.pins[3] == DescribedPiece(row=2, column=2)
    document = request_document(request)
    assert (document["pins"], document["avoid"]) == (entries, entries[:1])
    assert read_request(document, STOCK)[0] == request


def test_a_table_may_stand_before_the_hole() -> None:
    request, _ = read_request(asked(pins=[{"hole": "T1/C4"}]), STOCK)
    assert request.pins == (DescribedPiece(hole=(2, 3), table="T1"),)


def test_a_piece_is_one_of_the_alternative_to_keep() -> None:
    kept = tab_job.tab_alternative()
    request, _ = read_request(asked(keep=kept, pins=[{"piece": kept["placements"][0]["id"]}]), STOCK)
    piece = request.pins[0].piece
    assert piece is not None and piece.table == kept["table"]
    assert piece.levels[0][:2] == (kept["placements"][0]["item"], kept["placements"][0]["hole"])
    assert read_request(request_document(request), STOCK)[0].pins == request.pins
    (fault,) = faults(keep=kept, pins=[{"piece": "nobody"}])
    assert fault.pointer == "/pins/0/piece"


@pytest.mark.parametrize(
    ("entry", "at"),
    [
        ({}, ""), ({"item": None}, ""), ({"item": "nothing-such"}, "/item"), ({"item": ""}, "/item"), ({"item": 3}, "/item"),
        ({"hole": "7C"}, "/hole"), ({"hole": "C0"}, "/hole"), ({"hole": "T9/C4"}, "/hole"), ({"hole": "ZZ900"}, "/hole"),
        ({"hole": "T1/C4", "table": "T2"}, "/hole"), ({"row": 0}, "/row"), ({"row": 1.5}, "/row"), ({"row": True}, "/row"),
        ({"row": 1000}, "/row"), ({"column": "c"}, "/column"), ({"column": "C4"}, "/column"), ({"column": ""}, "/column"),
        ({"column": "ZZZ"}, "/column"), ({"table": "T9"}, "/table"), ({"part": "nobody"}, "/part"),
        ({"part": PART, "face": "side:99"}, "/face"), ({"face": "lid"}, "/face"), ({"as": "top"}, "/as"),
        ({"piece": "p1"}, "/piece"), ({"colour": "red"}, "/colour"), ({"role": "side"}, "/role"), (3, ""), (None, ""), ([], ""),
        ({"item": "\u0000"}, "/item"), ({"hole": "C" * 300}, "/hole"), ({"hole": "C" + "9" * 190}, "/hole"),
    ],
    ids=repr,
)  # fmt: skip
@pytest.mark.parametrize("name", ["pins", "avoid"])
def test_a_fault_is_told_at_its_own_pointer(name: str, entry: Any, at: str) -> None:
    found = faults(**{name: [{"item": ITEM}, entry]})
    assert f"/{name}/1{at}" in {fault.pointer for fault in found}
    assert all(fault.pointer.startswith(f"/{name}/1") and fault.accepted for fault in found)


def test_faults_of_several_entries_are_told_together_with_others() -> None:
    found = faults(quantity=0, pins=[{"row": 0}, {"part": "nobody"}], avoid=[{"item": "nothing-such"}])
    assert [fault.pointer for fault in found if fault.pointer != "/quantity"] == [
        "/pins/0/row", "/pins/1/part", "/avoid/0/item",
    ]  # fmt: skip


def test_too_many_entries_are_counted() -> None:
    assert [fault.pointer for fault in faults(avoid=[{"row": 1}] * 51)] == ["/avoid"]
    assert [fault.pointer for fault in faults(pins=[{"row": 1}] * 5000)] == ["/pins"]
    assert len(read_request(asked(avoid=[{"row": 1}] * 50), STOCK)[0].avoid) == 50


def test_nothing_is_pinned_unless_it_is_said() -> None:
    request, _ = read_request(asked(), STOCK)
    assert isinstance(request, Request) and request.pins == request.avoid == ()


def test_the_schema_describes_them() -> None:
    schema = json_schema("request")
    assert {"item", "hole", "row", "column", "table", "part", "face", "as", "piece"} == set(
        schema["$defs"]["PieceDocument"]["properties"]
    )


def test_words_stand_for_entries() -> None:
    words = ["part=rail, item=square-60,as=side", "row=3", "column=C,hole=T2/B4", '{"item": "a,b", "row": 4}']
    assert piece_entries(words, "pin") == (
        [
            {"part": "rail", "item": "square-60", "as": "side"}, {"row": 3}, {"column": "C", "hole": "T2/B4"},
            {"item": "a,b", "row": 4},
        ],
        [],
    )  # fmt: skip


@pytest.mark.parametrize(
    "word", ["", "=", "row", "row=", "=3", "colour=red", "row=3,row=4", "{", "{}x", "[1]", "{" * 5000, json.dumps(3), "a=b=c"]
)
def test_a_word_that_stands_for_nothing_is_a_fault(word: str) -> None:
    found, wrong = piece_entries(["row=3", word], "avoid")
    assert found == [{"row": 3}] and [fault.pointer for fault in wrong] == ["/avoid/1"]


def test_numbers_that_are_no_rows_are_left_to_the_reader() -> None:
    assert piece_entries(["row=-3", "row=3.5", "row=99999999999"], "pin")[0] == [
        {"row": "-3"}, {"row": "3.5"}, {"row": "99999999999"},
    ]  # fmt: skip
