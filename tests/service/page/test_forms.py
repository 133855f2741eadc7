"""Forms as browsers send them: every fault at its field, none ever lost or guessed."""

from __future__ import annotations

from datetime import date

import pytest

from inventory.errors import InvalidDocument
from service.page.forms import MOST_FIELDS, Form, read_form


def faults(form: Form) -> dict[str, str]:
    return {fault.pointer: fault.wrong for fault in form.faults}


def test_fields_are_read_in_the_words_of_their_kind() -> None:
    form = read_form(b"name= hinge+post &count=1 200&day=2027-03-01&theme=dark&item=a&item=b")
    assert form.text("name", "a name") == "hinge post"
    assert form.whole("count", 1, 10_000) == 1200
    assert form.day("day") == date(2027, 3, 1)
    assert form.choice("theme", ("light", "dark"), "light") == "dark"
    assert form.all("item") == ("a", "b")
    assert form.raw("item") == "b"
    form.finish()


def test_what_is_not_there_is_what_the_form_says_it_is() -> None:
    form = read_form(b"")
    assert (form.text("name", ""), form.whole("n", 0, 9, otherwise=3), form.day("day")) == ("", 3, None)
    assert form.choice("theme", ("light",), "light") == "light"
    assert not form.faults


def test_every_fault_is_found_at_once_each_at_its_field() -> None:
    form = read_form(
        "name=&count=ten&big=99&day=2027-02-30&theme=pink&long=%s&bell=%%07".replace("%s", "x" * 201).replace("%%", "%").encode()
    )
    form.text("name", "a name", needed=True)
    form.whole("count", 1, 5)
    form.whole("big", 1, 5)
    form.day("day")
    form.choice("theme", ("light", "dark"), "light")
    form.text("long", "a name")
    form.text("bell", "a name")
    form.whole("missing", 1, 5)
    assert set(faults(form)) == {"/name", "/count", "/big", "/day", "/theme", "/long", "/bell", "/missing"}
    assert faults(form)["/big"] == "99 is out of range"
    with pytest.raises(InvalidDocument) as refused:
        form.finish()
    assert len(refused.value.faults) == 8


@pytest.mark.parametrize("number", ["1e3", "0x10", "1_000", "٣", "--1", "9" * 400, "1.5"])
def test_what_only_looks_like_a_whole_number_is_refused(number: str) -> None:
    form = Form.of([("n", number)])
    assert form.whole("n", -10, 10**9) is None
    assert "/n" in faults(form)


@pytest.mark.parametrize("day", ["2027-3-1", "20270301", "2027-W01-1", "1 March", "2027-03-01T00:00"])
def test_a_day_is_written_in_one_way(day: str) -> None:
    form = Form.of([("day", day)])
    assert form.day("day") is None
    assert "/day" in faults(form)


@pytest.mark.parametrize("raw", [b"\xff\xfe=1", b"a=%ff", b"&".join(b"a=1" for _ in range(MOST_FIELDS + 1))])
def test_what_is_no_form_is_refused(raw: bytes) -> None:
    with pytest.raises(InvalidDocument):
        read_form(raw)
    assert len(read_form(b"&".join(b"a=1" for _ in range(MOST_FIELDS))).all("a")) == MOST_FIELDS
