"""Connections, headers and bodies take no more than their limits allow, and whoever keeps to them is answered meanwhile."""

from __future__ import annotations

import re
import signal
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from tests.service.http.server.live import Live, everything, reply

MOST = 60
HALF = b"GET /healthz HTTP/1.1\r\nHost: localhost\r\nX-Half: "


@pytest.fixture(scope="module")
def live(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Live]:
    settings: dict[str, Any] = {
        "header_time": 1.5,
        "header": 4096,
        "body_pause": 1,
        "bodies_mb": 1,
        "idle_time": 1,
        "connections": MOST,
        "log_requests": "all",
    }
    running = Live(tmp_path_factory.mktemp("live"), **settings)
    yield running
    assert running.end(signal.SIGTERM) == 0


def test_half_headers_by_the_hundred_hold_up_nobody(live: Live) -> None:
    """1,100 of them ended the service and wrote 246 MB of log in 45 s before there were limits."""
    memory, log = live.memory_mb(), live.log.stat().st_size
    opened = [live.connected(HALF) for _ in range(5 * MOST)]
    began = time.monotonic()
    assert live.get("/healthz").status_code == 200
    assert time.monotonic() - began < 1
    assert live.files() < MOST + 50
    last = reply(opened[-1])
    assert (last.status, last.kind, last.headers["connection"]) == (408, "slow-header", "close")
    assert live.memory_mb() - memory < 20
    assert live.log.stat().st_size - log < 10_000
    for each in opened:
        each.close()


def test_with_few_files_there_are_few_connections_and_no_error_and_a_second_signal_ends_all_at_once(tmp_path: Path) -> None:
    few = Live(tmp_path, most_files=230, connections=5000, stop_time=60)
    opened = [few.connected(HALF) for _ in range(300)]
    assert few.get("/healthz").status_code == 200
    assert "this process may not open more files" in few.log.read_text()
    assert few.log.stat().st_size < 10_000
    opened.append(few.asked("GET /wait/60 HTTP/1.1"))
    time.sleep(0.3)
    few.process.send_signal(signal.SIGTERM)
    time.sleep(0.4)
    began = time.monotonic()
    assert few.end(signal.SIGTERM) == -signal.SIGTERM
    assert time.monotonic() - began < 1
    for each in opened:
        each.close()


def test_who_comes_while_all_are_being_answered_is_told_to_come_again(live: Live) -> None:
    waiting = [live.asked("GET /wait/3 HTTP/1.1") for _ in range(MOST)]
    time.sleep(0.5)
    refused = reply(live.asked("GET /healthz HTTP/1.1"))
    assert (refused.status, refused.kind) == (503, "busy")
    assert (refused.headers["retry-after"], refused.headers["connection"]) == ("1", "close")
    for each in waiting:
        each.close()
    time.sleep(0.2)
    assert live.get("/healthz").status_code == 200


@pytest.mark.parametrize(
    ("sent", "status", "kind"),
    [
        (b"\x16\x03\x01\x02\x00\r\n\r\n", 400, "not-http"),
        (b"GET / HTTP/1.1\r\n\r\n", 400, "not-http"),
        (b"POST /body HTTP/1.1\r\nHost: localhost\r\nContent-Length: -5\r\n\r\n", 400, "not-http"),
        (b"GET / HTTP/1.1\r\nHost: localhost\r\nX: " + b"x" * 5000, 431, "large-header"),
        (b"GET / HTTP/1.1\r\nHost: localhost\r\nConnection: close\r\nX: " + b"x" * 5000 + b"\r\n\r\n", 431, "large-header"),
    ],
    ids=["another protocol", "no host", "no such length", "too long a header", "the same at a stroke"],
)
def test_what_is_no_request_gets_a_problem(live: Live, sent: bytes, status: int, kind: str) -> None:
    answer = reply(live.connected(sent))
    assert (answer.status, answer.kind) == (status, kind)
    assert answer.headers["x-request-id"] == answer.json()["request_id"]
    assert answer.headers["connection"] == "close"


def test_a_connection_on_which_nothing_is_asked_is_closed(live: Live) -> None:
    began = time.monotonic()
    assert everything(live.asked("GET /healthz HTTP/1.1")).startswith(b"HTTP/1.1 200")
    assert 0.9 < time.monotonic() - began < 3
    assert everything(live.connected()) == b"", "what has never asked anything is closed without a word"


def test_a_body_may_pause_only_so_long(live: Live) -> None:
    begun = live.asked("POST /body HTTP/1.1", "Content-Type: application/json", "Content-Length: 100")
    begun.sendall(b"{")
    answer = reply(begun)
    assert (answer.status, answer.kind) == (408, "slow-body")


def test_bodies_together_take_no_more_than_they_may(live: Live) -> None:
    memory = live.memory_mb()
    lines = ("POST /body HTTP/1.1", "Content-Type: application/json", "Content-Length: 900000")
    begun = [live.asked(*lines) for _ in range(20)]
    for each in begun:
        each.sendall(b" " * 200_000)
    kinds = [reply(each).kind for each in begun]
    assert kinds.count("busy") >= 14 and set(kinds) == {"busy", "slow-body"}
    assert live.memory_mb() - memory < 20
    again = live.connected(b"POST /body HTTP/1.1\r\nHost: x\r\nContent-Type: application/json\r\nContent-Length: 2\r\n\r\n{}")
    assert b'"held":2' in everything(again), "what was refused or given up is held no longer"


def test_who_does_not_take_the_answer_is_cut_off(live: Live) -> None:
    asked = live.asked("GET /large HTTP/1.1")
    time.sleep(2.5)
    assert len(everything(asked)) < 50_000_000


def test_a_mistake_is_a_problem_and_the_connection_stays(live: Live) -> None:
    asked = live.connected(
        b"GET /mistake HTTP/1.1\r\nHost: x\r\nX-Request-Id: shop-17\r\n\r\nGET /healthz HTTP/1.1\r\nHost: x\r\n\r\n"
    )
    text = everything(asked).decode()
    assert text.startswith("HTTP/1.1 500") and '"request_id":"shop-17"' in text and "x-content-type-options" in text
    assert "HTTP/1.1 200" in text
    log = live.log.read_text()
    assert "ZeroDivisionError" in log and '"request_id": "shop-17"' in log
    assert "s3cret" not in log
    assert '"path": "/mistake"' in log and '"status": 500' in log, "every request has its line where a setting asks for it"


def test_an_id_that_is_too_long_or_not_ascii_is_not_taken_over(live: Live) -> None:
    for given in (b"a" * 65, b"", "ü".encode(), b"two words"):
        made = live.get("/healthz", headers=[(b"X-Request-Id", given)]).headers["x-request-id"]
        assert re.fullmatch("[0-9a-f]{16}", made)
    assert live.get("/healthz", headers={"X-Request-Id": "a" * 64}).headers["x-request-id"] == "a" * 64
