"""Documents without a name are known by digits that change with their content alone."""

from __future__ import annotations

from service.documents.reading.fingerprint import fingerprint, plan_name, request_fingerprint


def test_the_digits_are_the_first_of_a_sha_256() -> None:
    """FIPS 180-4, example of the one-block message ``abc``: ba7816bf 8f01cfea ..."""
    assert fingerprint(b"abc") == "ba7816bf8f01"
    assert plan_name(b"abc") == "plan ba7816bf8f01"


def test_order_and_layout_do_not_count() -> None:
    assert request_fingerprint({"a": 1, "b": ["é", {"c": None, "d": 2.5}]}) == fingerprint(
        '{"a":1,"b":["é",{"c":null,"d":2.5}]}'.encode()
    )
    assert request_fingerprint({"b": 2, "a": 1}) == request_fingerprint({"a": 1, "b": 2}) != request_fingerprint({"a": 1, "b": 3})
