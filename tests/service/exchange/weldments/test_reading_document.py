"""Readings written and read back."""

from __future__ import annotations

import json
import math
from dataclasses import replace

import jsonschema
import pytest

from inventory.errors import InvalidDocument
from service.documents import json_schema
from service.documents.weldment_files.reading_model import EXAMPLE, FORMAT
from service.exchange.weldments.reading_document import read_reading, reading_document
from service.exchange.weldments.weldment_reading import ReadBody, Remark, WeldmentReading
from tests.service.exchange.weldments.child import small_reader

READING = WeldmentReading("step", "AP242", "inch", "gate", small_reader.PARTS, small_reader.BODIES, (Remark("file.note", "so"),))
LARGEST = 1_000_000


def test_a_reading_survives_being_written_and_read() -> None:
    document = json.loads(json.dumps(reading_document(READING)))
    jsonschema.validate(document, json_schema("reading"))
    found = read_reading(document, LARGEST)
    assert replace(found, parts=()) == replace(READING, parts=())
    assert reading_document(found) == document
    assert document["undecided"] == ["handle"]


def test_its_example_is_one() -> None:
    found = read_reading(EXAMPLE, LARGEST)
    assert [body.name for body in found.undecided] == EXAMPLE["undecided"]
    assert EXAMPLE["format"] == FORMAT


def test_texts_of_a_file_cannot_steer_a_terminal() -> None:
    odd = ReadBody(1, "a\x1b[2Jb", "not_recognised", None, "w" * 2000, None, (Remark("c", "\r\n", "x", (math.nan, 0, 0)),))
    document = reading_document(replace(READING, bodies=(odd,), parts=()))
    body = read_reading(document, LARGEST).bodies[0]
    assert (body.name, body.remarks) == ("a\\x1b[2Jb", (Remark("c", "\\r\\n", "x", None),))
    assert body.words == "w" * 497 + "..."
    assert document["weldment"] is None


@pytest.mark.parametrize(
    ("field", "value", "at"),
    [
        ("bodies", [{**EXAMPLE["bodies"][0], "outcome": "melted"}], "/bodies/0/outcome"),
        ("bodies", [{**EXAMPLE["bodies"][0], "name": "\x1b[2J"}], "/bodies/0/name"),
        ("bodies", [{}] * 30_000, "/bodies"),
        ("drawn_in", "yard", "/drawn_in"),
        ("extra", 1, "/extra"),
        ("weldment", {**EXAMPLE["weldment"], "parts": []}, "/weldment/parts"),
    ],
)
def test_what_is_no_reading_is_refused_at_its_place(field: str, value: object, at: str) -> None:
    with pytest.raises(InvalidDocument) as refusal:
        read_reading({**EXAMPLE, field: value}, LARGEST)
    assert refusal.value.faults[0].pointer == at
