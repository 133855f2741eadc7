"""A server told to stop stops in time, whatever is under way, and says so to everybody who waits."""

from __future__ import annotations

import signal
import threading
import time
from pathlib import Path
from typing import Any

from tests.service.http.server.live import Live, everything, reply

STOP_S = 4.0


def test_whatever_is_under_way_it_stops_in_time(tmp_path: Path) -> None:
    live = Live(tmp_path, stop_time=STOP_S)
    body = live.asked("POST /body HTTP/1.1", "Content-Type: application/json", "Content-Length: 100")
    reader, waits, works = (live.asked(f"GET {path} HTTP/1.1") for path in ("/events", "/wait/60", "/busy/60"))
    ends_soon, idle, half = live.asked("GET /wait/0.8 HTTP/1.1"), live.connected(), live.connected(b"GET /x HTTP/1.1\r\nHo")
    large = live.asked("GET /large HTTP/1.1")
    time.sleep(0.4)
    began = time.monotonic()
    live.process.send_signal(signal.SIGTERM)
    answers: dict[str, Any] = {}
    readers = [
        threading.Thread(target=lambda name=name, made=made: answers.update({name: reply(made)}))
        for name, made in {"body": body, "reader": reader, "waits": waits, "works": works, "soon": ends_soon}.items()
    ]
    for thread in readers:
        thread.start()
    time.sleep(0.15)
    assert live.get("/readyz").status_code == 503
    assert live.get("/healthz").status_code == 200
    turned_away = live.get("/wait/0")
    assert (turned_away.status_code, turned_away.json()["type"]) == (503, "/v1/problems/stopping")
    assert turned_away.headers["connection"] == "close" and int(turned_away.headers["retry-after"]) > 0
    assert live.process.wait(10) == 0
    assert time.monotonic() - began < STOP_S + 1.5
    for thread in readers:
        thread.join(5)
    assert {name: answers[name].kind for name in ("body", "waits", "works")} == dict.fromkeys(
        ("body", "waits", "works"), "stopping"
    )
    assert answers["soon"].status in (200, 503)
    assert answers["reader"].content.decode().count("event: ") == 2
    assert "retry: 2000\nevent: stopping\ndata: {}\n" in answers["reader"].content.decode()
    for each in (idle, half, large):
        everything(each)
    assert "Traceback" not in live.log.read_text()
