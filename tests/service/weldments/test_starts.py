"""What a draft starts from: nothing, an example, an earlier request, a document that was pasted."""

from __future__ import annotations

import json
from typing import Any

import pytest

from inventory.errors import InvalidDocument
from service.documents import read_request
from service.documents.reading.pointer_lines import line_of
from service.documents.request import EXAMPLE
from service.documents.weldment import EXAMPLE as WELDMENT
from service.weldments.drafted_weldment import drafted_weldment
from service.weldments.starts import blank, earlier, example, examples, pasted


def test_an_empty_weldment_lacks_nothing_but_parts() -> None:
    drafted = drafted_weldment(blank("inch").document)
    assert [fault.pointer for fault in drafted.faults] == ["/parts"] and drafted.units == "inch"
    with pytest.raises(InvalidDocument):
        blank("cubit")


@pytest.mark.parametrize("name", [name for name, _ in examples()])
def test_every_example_is_sound_but_for_what_is_asked_later(name: str) -> None:
    document = example(name).document
    assert drafted_weldment(document).faults == ()
    assert "needed" not in document and "keep" not in document


def test_an_earlier_request_leaves_its_days_and_its_shelf_behind() -> None:
    left = earlier(EXAMPLE)
    assert not {"needed", "without", "pins", "avoid", "keep", "today"} & set(left)
    assert left["quantity"] == EXAMPLE["quantity"] and read_request(left)[0].weldment.name == "hinge post"


def test_a_weldment_or_a_request_is_taken_in() -> None:
    assert pasted(json.dumps(WELDMENT)).document["weldment"] == WELDMENT
    assert pasted(json.dumps(EXAMPLE)).document["weldment"] == WELDMENT


@pytest.mark.parametrize(
    "text", ["", "[]", "7", '"x"', "{", "nonsense", "null", '{"a": 1, "a": 2}', "[" * 2000, '{"weldment": 7}', "\ud800"]
)
def test_what_is_no_weldment_is_told_whether_it_is_to_be_mended_or_not(text: str) -> None:
    for as_it_is in (False, True):
        with pytest.raises(InvalidDocument):
            pasted(text, as_it_is)


def test_a_faulty_document_is_told_with_its_lines_and_taken_in_if_wanted() -> None:
    broken: dict[str, Any] = json.loads(json.dumps(WELDMENT))
    broken["parts"][1]["section"]["thickness"] = -8
    broken["welds"][0]["kind"] = "glue"
    text = json.dumps(broken, indent=1)
    with pytest.raises(InvalidDocument) as refused:
        pasted(text)
    lines = text.splitlines()
    told = {fault.pointer: lines[(line_of(text, fault.pointer) or 0) - 1].strip() for fault in refused.value.faults}
    assert told == {"/parts/1/section/thickness": '"thickness": -8', "/welds/0/kind": '"kind": "glue",'}
    broken["parts"][0]["colour"] = "red"
    drafted = drafted_weldment(pasted(json.dumps(broken), as_it_is=True).document)
    assert len(drafted.faults) == 2 and drafted.parts[0] is not None and drafted.parts[1] is None
    for wrong in ({"parts": 7}, {"parts": [7]}, {"welds": {"a": 1}}, {"tolerances": ["x"]}):
        with pytest.raises(InvalidDocument):
            pasted(json.dumps({**WELDMENT, **wrong}), as_it_is=True)
