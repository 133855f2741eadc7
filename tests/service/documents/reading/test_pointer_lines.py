"""On which line of a JSON text a pointer's value stands."""

from __future__ import annotations

from service.documents.reading.pointer_lines import line_of


def test_a_pointer_finds_its_line_or_that_of_what_holds_it() -> None:
    text = '{\n "a": [1,\n  {"b/c": 2}],\n "d~": "x,]}",\n "e": {}}'
    assert [line_of(text, pointer) for pointer in ("", "/a", "/a/1", "/a/1/b~1c", "/d~0", "/e", "/e/none", "/no")] == [
        1,
        2,
        3,
        3,
        4,
        5,
        5,
        1,
    ]
    assert line_of("", "/a") is None and line_of("}{", "/a") is not None
