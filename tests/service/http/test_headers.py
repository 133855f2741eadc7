"""Headers that steer the service."""

from __future__ import annotations

import pytest

from service.http.guard.headers import event_number, host_answered, key_given, named_by, wait_preferred
from service.http.problems import HttpProblem


@pytest.mark.parametrize(
    ("prefer", "seconds"),
    [
        (None, None),
        ("wait=5", 5),
        ("WAIT = 5", 5),
        ('wait="5"', 5),
        ("respond-async, wait=7", 7),
        ("wait=7; foo, bar", 7),
        ("wait=31", 30),
        ("wait=0", 0),
        ("await=5", None),
        ("wait=5x", None),
        ("wait=5.5", None),
    ],
)
def test_prefer_wait_as_rfc_7240_writes_it(prefer: str | None, seconds: float | None) -> None:
    assert wait_preferred(prefer, 30) == seconds


def test_a_key_is_1_to_255_printable_ascii_characters() -> None:
    assert key_given(None) is None
    assert key_given("k" * 255) == "k" * 255
    for bad in ("", "k" * 256, "ké", "a\tb"):
        with pytest.raises(HttpProblem) as refused:
            key_given(bad)
        assert refused.value.kind == "bad-header"


@pytest.mark.parametrize(
    ("host", "answered"),
    [
        ("localhost:8765", True),
        ("LOCALHOST", True),
        ("[::1]:80", True),
        ("shop.example", False),
        ("", False),
        ("localhost.evil", False),
    ],
)
def test_only_known_hosts_are_answered(host: str, answered: bool) -> None:
    assert host_answered(host, "localhost 127.0.0.1 [::1]", numbers_too=False) is answered
    assert host_answered(host, "*", numbers_too=False)


@pytest.mark.parametrize("host", ["192.168.1.5", "192.168.1.5:8765", "[2001:db8::5]:80", "10.0.0.1"])
def test_addresses_in_numbers_are_answered_where_keys_are_needed(host: str) -> None:
    assert host_answered(host, "localhost", numbers_too=True)
    assert not host_answered(host, "localhost", numbers_too=False)
    assert not host_answered("192.168.1.5.evil.example", "localhost", numbers_too=True)


def test_a_last_event_that_cannot_be_read_starts_from_the_first() -> None:
    assert [event_number(text) for text in (None, "", "x", "-1", "²", "4", " 4 ", "9" * 30)] == [0, 0, 0, 0, 0, 5, 5, 0]


@pytest.mark.parametrize(
    ("given", "named"),
    [
        ('"a"', True),
        ('W/"a"', True),
        ('"b", W/"c" ,"a"', True),
        ("*", True),
        ('"b"', False),
        ("a", False),
        ("", False),
        ('"aa"', False),
        ('"', False),
    ],
)
def test_tags_in_a_list_are_compared_weakly(given: str, named: bool) -> None:
    """RFC 9110, 13.1.2 and 8.8.3.2."""
    assert named_by(given, "a") is named
