"""Inch documents are converted once, lengths only, and limited in millimetres."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from inventory.errors import InvalidDocument
from service.documents import read_item, read_request, read_rules, read_stock, read_table, read_weldment
from tests.service.documents import samples

LENGTHS = {
    "width", "wall", "length", "at", "outline", "cutouts", "thickness", "path", "leg", "from", "to", "height", "range", "step",
    "reach", "size", "first", "pitch", "hole_diameter", "point", "plus_minus", "corner_radius",
}  # fmt: skip
"""Fields whose numbers are lengths, in weldments, items and tables."""


def inched(document: Any, field: str = "") -> Any:
    """Return a document with every length divided by 25.4 and `units` set."""
    if isinstance(document, dict):
        return {name: inched(value, name) for name, value in document.items()}
    if isinstance(document, list):
        return [inched(value, field) for value in document]
    is_number = isinstance(document, int | float) and not isinstance(document, bool)
    return document / 25.4 if is_number and field in LENGTHS else document


def close(one: Any, two: Any) -> bool:
    """Whether two values are the same up to rounding."""
    if hasattr(one, "__dataclass_fields__"):
        return type(one) is type(two) and all(close(getattr(one, n), getattr(two, n)) for n in one.__dataclass_fields__)
    if isinstance(one, tuple):
        return len(one) == len(two) and all(close(a, b) for a, b in zip(one, two, strict=True))
    return bool(one == pytest.approx(two)) if isinstance(one, float) else one == two


def test_an_inch_weldment_is_the_weldment_in_millimetres() -> None:
    document = samples.weldment(3)
    document["parts"].append(samples.plate("plate", 900))
    document["tolerances"] = [{"part": "t0", "point": [0, 0, 50], "direction": [0, 2, 0], "plus_minus": 0.8}]
    document["open_dimensions"] = [{"part": "t1", "direction": [1, 0, 0], "range": [-10, 10]}]
    inch, millimetres = read_weldment({**inched(document), "units": "inch"}), read_weldment(document)
    assert (inch.units, millimetres.units) == ("inch", "mm")  # how lengths are shown
    assert close(replace(inch, units="mm"), millimetres)


CARRIER = samples.item(carries={"height": 50, "pegs": [[1, 0]]})


@pytest.mark.parametrize("document", [samples.item(), samples.adjustable(), samples.clamp(), CARRIER])
def test_an_inch_item_keeps_its_pegs_turns_and_fields_with_a_unit_in_their_name(document: dict[str, Any]) -> None:
    frame = [[0, -1, 0, 5], [1, 0, 0, 6], [0, 0, 1, 7], [0, 0, 0, 1]]
    document["solids"].append({**document["solids"][0], "frame": frame})
    inches = {**inched(document), "units": "inch"}
    for row, given in zip(inches["solids"][1]["frame"], frame, strict=True):
        row[3] = given[3] / 25.4 if row is not inches["solids"][1]["frame"][3] else 1
    assert close(read_item(inches), read_item(document))


def test_an_inch_table_is_the_table_in_millimetres() -> None:
    document = samples.table()
    assert close(read_table({**inched(document), "units": "inch"}), read_table(document))


def test_only_rules_in_millimetres_are_converted() -> None:
    changes = {"clear.weld": 1, "torch.sample": 0.5, "hold.handling_n": 90, "hold.shrink_n_per_mm2": 50, "time.walk_s": 70}
    book = read_rules({"format": "holdwright.rules/1", "units": "inch", "set": changes})
    assert (book["clear.weld"], book["torch.sample"]) == (25.4, 12.7)
    assert (book["hold.handling_n"], book["hold.shrink_n_per_mm2"], book["time.walk_s"]) == (90, 50, 70)


def test_each_document_has_its_own_unit() -> None:
    request = samples.request()
    request["weldment"] = {**inched(request["weldment"]), "units": "inch"}
    request["rules"] = {"set": {"clear.weld": 20}}
    read, _ = read_request(request)
    assert read.weldment.parts[0].length == pytest.approx(600)
    assert read.rules["clear.weld"] == 20
    stock = samples.stock()
    stock["items"][0] = {**inched(stock["items"][0]), "units": "inch"}
    stock["items"].append(samples.item("metric"))
    items = read_stock(stock).items
    assert close(items["stop"].solids, items["metric"].solids)


def test_limits_are_in_millimetres_whatever_the_unit() -> None:
    document = {**inched(samples.weldment()), "units": "inch"}
    document["parts"][1]["length"] = 800
    with pytest.raises(InvalidDocument) as refusal:
        read_weldment(document)
    (fault,) = refusal.value.faults
    assert (fault.pointer, fault.wrong) == ("/parts/1/length", "20320 mm is out of range")


def test_an_unknown_unit_is_one_fault() -> None:
    with pytest.raises(InvalidDocument) as refusal:
        read_weldment({**samples.weldment(), "units": "cm"})
    assert [fault.pointer for fault in refusal.value.faults] == ["/units"]
