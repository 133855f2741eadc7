"""The published JSON Schemas describe what is read, and documents written back read the same."""

from __future__ import annotations

import copy
from collections.abc import Callable
from typing import Any

import pytest
from jsonschema import Draft202012Validator

from inventory.cuts import PlaneCut
from inventory.errors import InvalidDocument
from service.documents import (
    SCHEMAS,
    item_document,
    json_schema,
    read_item,
    read_plan,
    read_request,
    read_rules,
    read_stock,
    read_table,
    read_weldment,
    request_document,
    rules_document,
    stock_document,
    table_document,
    weldment_document,
)
from tests.service.documents import samples
from tests.service.documents.test_request_faults import full_request

READERS: dict[str, Callable[[Any], Any]] = {
    "weldment": read_weldment,
    "table": read_table,
    "item": read_item,
    "stock": read_stock,
    "request": read_request,
    "plan": read_plan,
    "rules": read_rules,
}
SAMPLES: dict[str, Callable[[], Any]] = {
    "weldment": lambda: samples.weldment(5),
    "table": samples.table,
    "item": samples.clamp,
    "stock": samples.stock,
    "request": full_request,
    "plan": samples.plan,
    "rules": lambda: {"format": "holdwright.rules/1", "set": {"clear.weld": 20}},
}


def complaints(name: str, document: Any) -> list[str]:
    return [error.message for error in Draft202012Validator(json_schema(name)).iter_errors(document)]


@pytest.mark.parametrize("name", SCHEMAS)
def test_every_schema_is_a_schema(name: str) -> None:
    Draft202012Validator.check_schema(json_schema(name))


@pytest.mark.parametrize("name", SAMPLES)
def test_sound_documents_keep_their_schema(name: str) -> None:
    assert complaints(name, SAMPLES[name]()) == []


@pytest.mark.parametrize("name", [name for name in READERS if name != "plan"])
def test_examples_in_schemas_keep_them_and_read_without_fault(name: str) -> None:
    (example,) = json_schema(name)["examples"]
    assert complaints(name, example) == []
    READERS[name](example)


@pytest.mark.parametrize("name", READERS)
def test_every_field_of_every_object_is_described(name: str) -> None:
    schema = json_schema(name)
    for title, part in {name: schema, **schema["$defs"]}.items() if "$defs" in schema else {name: schema}.items():
        for field, described in part.get("properties", {}).items():
            assert described.get("description") or "const" in described, f"{title}.{field}"


STRUCTURAL = [
    ("request", "/quantity", 0),
    ("request", "/quantity", "5"),
    ("request", "/quantty", 5),
    ("request", "/lie/down", ["up"]),
    ("request", "/stations", "most"),
    ("request", "/weldment/parts/0/length", -1),
    ("request", "/weldment/parts/0/section/shape", "hexagon"),
    ("request", "/weldment/welds/0/kind", "spot"),
    ("request", "/weldment/welds/0/path/0", [0, 0]),
    ("item", "/turns", "sometimes"),
    ("item", "/turns/0", 360),
    ("item", "/clamp/reach", []),
    ("item", "/price_cents", 0.5),
    ("table", "/rows", 0),
    ("stock", "/stock/0/count", -1),
    ("plan", "/status", "good"),
    ("plan", "/alternatives/0/cost/total_cents", "1"),
]


@pytest.mark.parametrize(("name", "at", "value"), STRUCTURAL)
def test_what_the_schema_refuses_the_reader_refuses(name: str, at: str, value: Any) -> None:
    document = samples.planted(SAMPLES[name](), at, value)
    assert complaints(name, document)
    with pytest.raises(InvalidDocument):
        READERS[name](document)


def test_whole_numbers_may_be_written_with_a_point_as_the_schema_has_it() -> None:
    document = {**full_request(), "quantity": 20.0}
    assert complaints("request", document) == []
    assert read_request(document)[0].quantity == 20


def test_documents_written_back_read_the_same() -> None:
    weldment = read_weldment(SAMPLES["weldment"]())
    assert read_weldment(weldment_document(weldment)) == weldment
    assert not any("cuts" in part for part in weldment_document(weldment)["parts"])
    mitre = {"point": [0.0, 0.0, 1.0], "normal": [1.0, 0.0, 1.0]}
    mitred = samples.planted(SAMPLES["weldment"](), "/parts/0/cuts", [mitre])
    assert read_weldment(weldment_document(read_weldment({**mitred, "welds": []}))).parts[0].cuts == (
        PlaneCut((0, 0, 1), (1, 0, 1)),
    )
    table = read_table(samples.table())
    assert read_table(table_document(table)) == table
    sloped = samples.planted(samples.item(), "/solids/0/cuts", [{"point": [0, 0, 40], "normal": [0, 1, 1]}])
    assert read_item(item_document(read_item(sloped))) == read_item(sloped) != read_item(samples.item())
    for sample in (samples.item(), samples.adjustable(), samples.clamp()):
        assert read_item(item_document(read_item(sample))) == read_item(sample)
    stock = read_stock(samples.stock())
    assert read_stock(stock_document(stock)) == stock
    request, _ = read_request(full_request(), stock)
    assert read_request(request_document(request), stock)[0] == request
    rules = read_rules(SAMPLES["rules"]())
    assert read_rules(rules_document(rules)) == rules


@pytest.mark.parametrize("name", READERS)
def test_reading_leaves_the_document_alone(name: str) -> None:
    document = {**SAMPLES[name](), "\ud800": 1, "odd": 2}
    before = copy.deepcopy(document)
    with pytest.raises(InvalidDocument):
        READERS[name]({**document, "format": "x"})
    assert document == before
