"""Items, tables, stock files and rule books: single faults at their own pointers, and the nearest legal documents."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from inventory.errors import InvalidDocument
from service.documents import read_item, read_rules, read_stock, read_table
from service.documents.items import item_document
from tests.service.documents import samples
from tests.service.documents.samples import dropped, planted

NAN = float("nan")


def pointers(read: Callable[[Any], Any], document: Any) -> list[str]:
    with pytest.raises(InvalidDocument) as refusal:
        read(document)
    assert all(fault.wrong and fault.accepted for fault in refusal.value.faults)
    return [fault.pointer for fault in refusal.value.faults]


def test_the_samples_are_sound() -> None:
    assert read_item(samples.item()).kind == "stop"
    assert read_item(samples.adjustable()).slide is not None
    assert read_item(samples.clamp()).clamp is not None
    assert read_table(samples.table()).last_hole == "T10"
    assert read_stock(samples.stock()).free("stop") == 7


ITEM_FAULTS = [
    ("/format", "holdwright.table/1", None),
    ("/id", "", None),
    ("/kind", "magnet", None),
    ("/pegs", [], None),
    ("/pegs/0/0", 0.5, None),
    ("/pegs/0", [0, 0, 0], None),
    ("/turns", "sometimes", None),
    ("/turns/0", 360, None),
    ("/turns/0", "0", None),
    ("/solids", [], None),
    ("/solids/0/from", -1, "/solids/0"),
    ("/solids/0/to", 0, "/solids/0/to"),
    ("/solids/0/outline", [[0, 0], [9, 9], [9, 0], [0, 9]], None),
    ("/solids/0/frame", [[1, 0, 0, 0], [0, 1, 0, 0], [0, 0, -1, 50], [0, 0, 0, 1]], None),
    ("/solids/0/frame", [[1, 0, 0], [0, 1, 0], [0, 0, 1]], None),
    ("/solids/0/cuts", [{"point": [0, 0, 50], "normal": [0, 0, 0]}], "/solids/0/cuts/0/normal"),
    ("/solids/0/cuts", [{"point": [0, 0, 0], "normal": [0, 0, 1]}], "/solids/0/cuts"),
    ("/solids/0/cuts", [{"point": [0, 0, 50]}], "/solids/0/cuts/0/normal"),
    ("/contacts/0/normal", [0, 0, 0], None),
    ("/contacts/0/width", 0, None),
    ("/contacts", [], None),
    ("/carries", {"height": 50, "pegs": []}, "/carries/pegs"),
    ("/clamp", samples.clamp()["clamp"], None),
    ("/removable", "yes", None),
    ("/repeatability_mm", -0.1, None),
    ("/stiffness_n_per_mm", 0, None),
    ("/mass_kg", NAN, None),
    ("/price_cents", 12.5, None),
    ("/lead_days", None, None),
    ("/moves", True, None),
]


@pytest.mark.parametrize(("at", "value", "reported"), ITEM_FAULTS)
def test_one_fault_of_an_item(at: str, value: Any, reported: str | None) -> None:
    assert pointers(read_item, planted(samples.item(), at, value)) == [reported or at]


@pytest.mark.parametrize(
    "field",
    ["id", "kind", "pegs", "turns", "solids", "repeatability_mm", "stiffness_n_per_mm", "mass_kg", "place_s", "price_cents"],
)
def test_what_an_item_needs(field: str) -> None:
    assert pointers(read_item, dropped(samples.item(), f"/{field}")) == [f"/{field}"]


SLIDE_FAULTS = [
    ("/slide/range", [25, 0], None),
    ("/slide/range", [0], None),
    ("/slide/step", 26, None),
    ("/slide/step", -0.5, None),
    ("/slide/axis", [0, 0], None),
    ("/slide/axis", [1], None),
    ("/slide/axis", [0, 0, 1, 0], None),
    ("/slide", None, None),
]


@pytest.mark.parametrize(("at", "value", "reported"), SLIDE_FAULTS)
def test_one_fault_of_a_slide(at: str, value: Any, reported: str | None) -> None:
    assert pointers(read_item, planted(samples.adjustable(), at, value)) == [reported or at]


CLAMP_FAULTS = [
    ("/clamp", None, None),
    ("/clamp/force_n", 0, None),
    ("/clamp/direction", [0, 0, 1], None),
    ("/clamp/reach", [[0, 60, 20]], None),
    ("/clamp/close_s", -1, None),
    ("/clamp/open_solids", [], None),
    ("/contacts", [], None),
    ("/slide", {"axis": [0, 1], "range": [0, 5]}, None),
]


@pytest.mark.parametrize(("at", "value", "reported"), CLAMP_FAULTS)
def test_one_fault_of_a_clamp(at: str, value: Any, reported: str | None) -> None:
    assert pointers(read_item, planted(samples.clamp(), at, value)) == [reported or at]


def test_a_fixed_tip_and_a_continuous_slide_are_fine() -> None:
    tip = [0, 60, 20]
    assert read_item(planted(samples.clamp(), "/clamp/reach", [tip, tip])).clamp is not None
    slide = read_item(planted(samples.adjustable(), "/slide/step", 0)).slide
    assert slide is not None
    assert slide.step == 0


def test_a_slide_that_runs_up_is_written_as_it_was_read() -> None:
    item = read_item(planted(samples.adjustable(), "/slide/axis", [0, 0, 1]))
    assert item.slide is not None and item.slide.along == (0, 0, 1)
    assert read_item(item_document(item)).slide == item.slide


TABLE_FAULTS = [
    ("/size", [840], None),
    ("/size/0", 0, None),
    ("/pitch", 4, None),
    ("/columns", 21, None),
    ("/rows", 2.5, None),
    ("/hole_diameter", 40, None),
    ("/thickness", -14, None),
    ("/blocked_holes/0", "2B", None),
    ("/blocked_holes/0", "U1", None),
    ("/blocked_holes/0", 7, None),
    ("/max_load_kg", 0, None),
    ("/colums", 3, None),
]


@pytest.mark.parametrize(("at", "value", "reported"), TABLE_FAULTS)
def test_one_fault_of_a_table(at: str, value: Any, reported: str | None) -> None:
    assert pointers(read_table, planted(samples.table(), at, value)) == [reported or at]


def test_a_table_that_does_not_fit_its_slab_still_has_its_labels_judged() -> None:
    document = planted(planted(samples.table(), "/thickness", 0), "/blocked_holes/0", "2B")
    assert pointers(read_table, document) == ["/thickness"]
    document = planted(planted(samples.table(), "/columns", 21), "/blocked_holes/0", "2B")
    assert pointers(read_table, document) == ["/columns", "/blocked_holes/0"]


STOCK_FAULTS = [
    ("/items/1/id", "stop", ["/items/1/id"]),
    ("/tables/1", samples.table(), ["/tables/1/id"]),
    ("/stock/1/item", "stop", ["/stock/1/item"]),
    ("/stock/1/item", "ghost", ["/stock/1/item"]),
    ("/stock/1/count", -1, ["/stock/1/count"]),
    ("/stock/1/count", 2.5, ["/stock/1/count"]),
    ("/stock/1/out_of_service", 5, ["/stock/1/out_of_service"]),
    ("/stock/1/bin", "a\nb", ["/stock/1/bin"]),
    ("/stock/1/free", 3, ["/stock/1/free"]),
    ("/items/1/mass_kg", -1, ["/items/1/mass_kg"]),
    ("/format", "holdwright.items/1", ["/format"]),
    ("/shelves", [], ["/shelves"]),
]


@pytest.mark.parametrize(("at", "value", "reported"), STOCK_FAULTS)
def test_faults_of_a_stock_file(at: str, value: Any, reported: list[str]) -> None:
    assert pointers(read_stock, planted(samples.stock(), at, value)) == reported


def test_an_item_at_fault_is_still_an_item_its_line_may_name() -> None:
    assert pointers(read_stock, planted(samples.stock(), "/items/0/mass_kg", -1)) == ["/items/0/mass_kg"]
    assert pointers(read_stock, planted(samples.stock(), "/items/0/id", 5)) == ["/items/0/id"]


def test_a_thousand_items_are_a_shelf_and_one_more_is_not() -> None:
    document = samples.stock()
    document["items"] = [samples.item(f"i{k}") for k in range(1000)]
    document["stock"] = []
    assert len(read_stock(document).items) == 1000
    document["items"].append(samples.item("i1000"))
    assert pointers(read_stock, document) == ["/items"]


def test_a_stock_file_may_be_larger_than_a_request() -> None:
    raw = " " * 2_000_000
    with pytest.raises(InvalidDocument, match="not JSON"):
        read_stock(raw)


def test_rule_books() -> None:
    book = read_rules({"format": "holdwright.rules/1", "set": {"clear.weld": 20}})
    assert book["clear.weld"] == 20
    assert book["clear.body"] == 1
    wrong = {"format": "holdwright.rules/1", "base": "night", "set": {"clear.wled": 1, "clear.weld": 900, "clear.body": "1"}}
    assert pointers(read_rules, wrong) == ["/base", "/set/clear.wled", "/set/clear.weld", "/set/clear.body"]
