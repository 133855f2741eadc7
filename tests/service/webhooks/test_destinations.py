"""Where a webhook's messages go: https to public addresses only, every one of them, unless private ones are allowed."""

from __future__ import annotations

import socket
import threading
import time
from typing import Any

import pytest

from inventory.errors import InvalidDocument
from service.webhooks import destinations
from service.webhooks.destinations import destination, look_up

PUBLIC, PRIVATE = "93.184.215.14", "10.0.0.7"


def refused(url: str, *addresses: str) -> str:
    with pytest.raises(InvalidDocument) as bad:
        destination(url, False, lambda host, port: list(addresses))
    assert bad.value.faults[0].pointer == "/url"
    return bad.value.faults[0].wrong


def test_the_addresses_of_a_public_host_are_those_it_has_now() -> None:
    found = destination("https://erp.example:8443/hook", False, lambda host, port: [PUBLIC, "2606:4700::1111", PUBLIC])
    assert (found.host, list(map(str, found.addresses))) == ("erp.example", [PUBLIC, "2606:4700::1111"])


def test_one_private_address_among_several_is_enough() -> None:
    assert refused("https://erp.example/", PUBLIC, PRIVATE) == "erp.example leads to 10.0.0.7, which is private"


def test_plain_http_is_refused_before_anything_is_looked_up() -> None:
    assert refused("http://erp.example/") == "http can be read by others on the way"


def test_both_are_taken_where_private_is_allowed() -> None:
    asked: list[Any] = []

    def names(host: str, port: int) -> list[str]:
        asked.append((host, port))
        return [PRIVATE]

    assert destination("http://erp.example/", True, names).addresses
    assert destination("https://erp.example/", True, names).addresses
    assert asked == [("erp.example", 80), ("erp.example", 443)]


# Every way to write 127.0.0.1 that the system's look-up takes for it (inet_aton).
@pytest.mark.parametrize(
    "host", ["127.0.0.1", "127.1", "2130706433", "0x7f000001", "0177.0.0.1", "[::1]", "[::ffff:127.0.0.1]", "localhost"]
)
def test_this_machine_is_refused_however_it_is_written(host: str) -> None:
    with pytest.raises(InvalidDocument) as bad:
        destination(f"https://{host}/", False)
    assert "loopback" in bad.value.faults[0].wrong


def test_a_host_without_address_is_a_fault() -> None:
    with pytest.raises(InvalidDocument) as bad:
        destination("https://no-such-host.invalid/", False)
    assert "cannot be looked up" in bad.value.faults[0].wrong
    assert refused("https://erp.example/") == "erp.example has no address"


def test_a_name_service_that_does_not_answer_holds_nobody_up(monkeypatch: pytest.MonkeyPatch) -> None:
    let_go = threading.Event()
    monkeypatch.setattr(socket, "getaddrinfo", lambda *a, **k: let_go.wait(10) and [])
    monkeypatch.setattr(destinations, "LOOK_UP_S", 0.05)
    began = time.monotonic()
    with pytest.raises(OSError, match="no answer within"):
        look_up("erp.example", 443)
    assert time.monotonic() - began < 1
    (waiting,) = (thread for thread in threading.enumerate() if thread.name == "holdwright-look-up")
    let_go.set()
    waiting.join()


def test_no_more_than_so_many_names_are_looked_up_at_once(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(destinations, "_running", threading.BoundedSemaphore(1))
    let_go, inside = threading.Event(), threading.Event()

    def slow(*a: Any, **k: Any) -> list[Any]:
        inside.set()
        let_go.wait(10)
        return [(0, 0, 0, "", (PUBLIC, 443))]

    monkeypatch.setattr(socket, "getaddrinfo", slow)
    first = threading.Thread(target=look_up, args=("erp.example", 443))
    first.start()
    assert inside.wait(5)
    with pytest.raises(OSError, match="too many"):
        look_up("erp.example", 443)
    let_go.set()
    first.join()
    assert look_up("erp.example", 443) == [PUBLIC]
