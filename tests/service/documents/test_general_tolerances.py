"""A tolerance by class and length of ISO 13920 is read as the standard's number; anything between is refused by name.

The values are those of ISO 13920:1996, table 1 (as read in public copies; the ranges include their upper bound).
"""

from __future__ import annotations

import copy
from typing import Any

import pytest

from inventory.errors import InvalidDocument
from service.documents.weldment import EXAMPLE, read_weldment, weldment_document


def told(units: str = "mm", **tolerance: Any) -> dict[str, Any]:
    """The example weldment with one tolerance on its tab, given as told."""
    document = copy.deepcopy(EXAMPLE)
    document["tolerances"] = [{"part": "tab", "point": [200, -25, 60], "direction": [1, 0, 0], **tolerance}]
    if units == "inch":
        for part in document["parts"]:
            part["pose"]["at"] = [number / 25.4 for number in part["pose"]["at"]]
            part["section"] = {k: v / 25.4 if isinstance(v, int) else v for k, v in part["section"].items()}
        document["parts"][0]["length"] /= 25.4
        document["parts"][1]["section"]["outline"] = [[x / 25.4, y / 25.4] for x, y in EXAMPLE["parts"][1]["section"]["outline"]]
        document["welds"] = []
        document["units"] = "inch"
    return document


@pytest.mark.parametrize(
    ("grade", "length", "allowed"),
    [("B", 500, 3), ("B", 400, 2), ("B", 401, 3), ("C", 1500, 8), ("A", 1000, 2), ("D", 25, 1), ("D", 20000, 36)],
)
def test_class_and_length_stand_for_the_standards_number(grade: str, length: float, allowed: float) -> None:
    (tolerance,) = read_weldment(told(iso13920=grade, length=length)).tolerances
    assert tolerance.plus_minus == allowed


def test_the_length_is_in_the_documents_unit_and_the_tolerance_in_mm() -> None:
    """20 inches are 508 mm: over 400 up to 1000."""
    (tolerance,) = read_weldment(told("inch", iso13920="B", length=20)).tolerances
    assert tolerance.plus_minus == 3


def test_a_weldment_written_down_again_has_the_number() -> None:
    written = weldment_document(read_weldment(told(iso13920="B", length=500)))
    assert written["tolerances"][0]["plus_minus"] == 3
    assert read_weldment(written).tolerances == read_weldment(told(plus_minus=3)).tolerances


@pytest.mark.parametrize(
    ("tolerance", "at", "remedy"),
    [
        ({}, "plus_minus", "or iso13920 (A to D) with length"),
        ({"length": 500}, "length", "iso13920 (A to D) with length"),
        ({"iso13920": "B"}, "length", "2 mm or more"),
        ({"iso13920": "E", "length": 500}, "iso13920", "A, B, C or D"),
        ({"iso13920": "b", "length": 500}, "iso13920", "A, B, C or D"),
        ({"iso13920": "B", "length": 1.9}, "length", "2 mm or more"),
        ({"iso13920": "B", "length": 500, "plus_minus": 1}, "iso13920", "one of the two"),
        ({"iso_13920": "B", "plus_minus": 1}, "iso_13920", "iso13920"),
    ],
)
def test_a_tolerance_given_by_halves_or_twice_is_refused_where_it_stands(tolerance: dict[str, Any], at: str, remedy: str) -> None:
    with pytest.raises(InvalidDocument) as refused:
        read_weldment(told(**tolerance))
    (fault,) = refused.value.faults
    assert fault.pointer == f"/tolerances/0/{at}"
    assert remedy in fault.accepted
