"""Text to values: what the lexical guards refuse, where they say it is, and that they stand beside all other faults."""

from __future__ import annotations

import json
import time

import pytest

from inventory.errors import Fault, InvalidDocument
from service.documents import read_request
from service.documents.reading.text import read_text
from tests.service.documents import samples


def faults_of(raw: bytes | str) -> list[Fault]:
    with pytest.raises(InvalidDocument) as refusal:
        read_request(raw)
    return list(refusal.value.faults)


def text() -> str:
    return json.dumps(samples.request())


def only(raw: bytes | str) -> Fault:
    (fault,) = faults_of(raw)
    return fault


@pytest.mark.parametrize("raw", [b"", b"   ", b"{", b'{"a" 1}', b"[1,]", b'{"a": 1} x', b"\x00", b'"', b"nope"])
def test_what_is_no_json_says_where(raw: bytes) -> None:
    fault = only(raw)
    assert fault.pointer == ""
    assert "line 1, column" in fault.wrong


@pytest.mark.parametrize("raw", [b"null", b"[]", b"3", b'"text"', b"true"])
def test_a_document_is_an_object(raw: bytes) -> None:
    assert "is not an object" in only(raw).wrong


def test_a_byte_order_mark_is_passed_over() -> None:
    assert read_request(b"\xef\xbb\xbf" + text().encode())[0].quantity == 20


def test_a_key_given_twice_is_named_at_its_place() -> None:
    twice = text().replace('"length": 600', '"length": 600, "length": 500', 1)
    assert only(twice).pointer == "/weldment/parts/0/length"
    thrice = text().replace('"quantity": 20', '"quantity": 20, "quantity": 20, "quantity": 20')
    assert [fault.pointer for fault in faults_of(thrice)] == ["/quantity", "/quantity"]


@pytest.mark.parametrize("number", ["NaN", "Infinity", "-Infinity", "1e999", "-1e999", "9" * 400])
def test_numbers_are_finite(number: str) -> None:
    assert only(text().replace("600", number, 1)).pointer == "/weldment/parts/0/length"


@pytest.mark.parametrize("number", ["9" * 25, "-" + "9" * 25])
def test_whole_numbers_are_not_endless(number: str) -> None:
    assert only(text().replace('"quantity": 20', f'"quantity": {number}')).pointer == "/quantity"


def test_digits_by_the_thousand_do_not_stop_the_reading() -> None:
    assert only(text().replace('"quantity": 20', f'"quantity": {"9" * 100_000}')).pointer == "/quantity"


def test_bytes_that_are_no_utf8_are_named_at_their_place() -> None:
    raw = text().encode().replace(b'"row"', b'"r\xffw"')
    fault = only(raw)
    assert fault.pointer == "/weldment/name"
    assert "byte 0xFF" in fault.wrong
    assert "not UTF-8" in only("{}".encode("utf-16")).wrong


def test_half_a_surrogate_pair_is_refused_in_texts_and_keys() -> None:
    fault = only(text().replace('"row"', '"r\\ud800w"'))
    assert (fault.pointer, "U+D800" in fault.wrong) == ("/weldment/name", True)
    fault = only(text().replace('"name"', '"na\\udc00me"'))
    assert fault.pointer == "/weldment/na\\udc00me"
    assert read_request(text().replace('"row"', '"r\\ud83d\\ude00w"'))[0].weldment.name == "r\U0001f600w"


@pytest.mark.parametrize("escape", ["\\u0000", "\\n", "\\u007f", "\\u0085", "\\u2028"])
def test_names_hold_no_control_characters(escape: str) -> None:
    assert only(text().replace('"row"', f'"r{escape}w"')).pointer == "/weldment/name"


def test_nesting_ends_at_32() -> None:
    deep = "[" * 30 + "]" * 30
    assert read_text('{"a": ' + deep + "}").faults == ()
    deeper = "[" * 32 + "]" * 32
    (fault,) = read_text('{"a": ' + deeper + "}").faults
    assert fault.pointer == "/a" + "/0" * 31
    assert only(text().replace('"quantity": 20', f'"quantity": 20, "odd": {deeper}')).accepted == "at most 32 levels"


@pytest.mark.parametrize(
    "raw", [b"[" * 900_000, b'{"a":' * 180_000, b'"' + b'\\"' * 490_000, b'"' * 990_001, b"[" * 200 + b"]" * 200]
)
def test_texts_made_to_hang_a_reader_do_not(raw: bytes) -> None:
    start = time.perf_counter()
    assert len(faults_of(raw)) <= 2
    assert time.perf_counter() - start < 5


def test_a_body_ends_at_one_megabyte() -> None:
    room = 1_000_000 - len(text().encode())
    assert read_request(text() + " " * room)[0].quantity == 20
    assert only(text() + " " * (room + 1)).accepted == "at most 1,000,000 bytes"


def test_lexical_faults_stand_beside_the_others() -> None:
    raw = text().replace('"row"', '"r\\ud800w"').replace('"quantity": 20', '"quantity": "20", "seed": NaN')
    assert {fault.pointer for fault in faults_of(raw)} == {"/weldment/name", "/quantity", "/seed"}


def test_more_faults_than_anyone_reads_are_cut_off() -> None:
    found = faults_of(json.dumps({f"k{k}": 1 for k in range(5000)}))
    assert len(found) == 1001
    assert found[-1].wrong == "there are more faults than are listed"
