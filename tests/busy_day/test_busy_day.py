"""A day of a busy shop: plans, reservations, returns, breakages and re-plans of three people at once; in the evening it adds up.

    .ci/slow busyday -s

replays the whole day against a live server on each database and prints what was done, how long answers took at most, and the
server's resident memory after the first third of the day and at its end.
"""

from __future__ import annotations

import asyncio
import json
import queue
import re
import signal
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from datetime import date
from pathlib import Path
from typing import Any

import httpx
import pytest

from service.demo import stock_document
from service.documents import read_stock
from service.http.app import create_app
from service.records.jobs import JobRecords
from service.settings import Settings
from service.stockroom.first_stock import fill_if_empty
from service.stockroom.stock_source import StoreStock, opened
from tests.busy_day.people import HORIZON, Door, Foreman, Paper, Planner, Storekeeper
from tests.concurrency.paper_shop import PaperShop, Slip
from tests.databases import KINDS, new_database
from tests.service.planners import by_name

SERVER = Path(__file__).parents[1] / "service" / "server.py"
PROMISED_DAYS = 370
GROWTH_KB = 25_000
"""So much more resident memory at the end of the day than after its first third is no growth: allocators keep some back."""


class InProcess:
    """The application in this process."""

    def __init__(self, app: Any) -> None:
        self._app = app

    def request(self, method: str, url: str, **more: Any) -> httpx.Response:
        """Ask."""

        async def once() -> httpx.Response:
            transport = httpx.ASGITransport(self._app, raise_app_exceptions=False)
            async with httpx.AsyncClient(transport=transport, base_url="http://localhost", timeout=60) as client:
                return await client.request(method, url, **more)

        return asyncio.run(once())


def on_paper(door: Door) -> Paper:
    """Write down what the shop has in the morning."""
    start = date.today()
    lines = listed(door, "/v1/stock", "stock")
    shop = PaperShop({x["item"]: x["count"] for x in lines}, {x["item"]: x["out_of_service"] for x in lines})
    paper = Paper(start, shop)
    for there in listed(door, "/v1/reservations", "reservations"):
        first, last = (paper.number(there["needed"][end]) for end in ("from", "to"))
        pieces = {line["item"]: line["count"] for line in there["lines"]}
        shop.slips[there["id"]] = Slip(there["state"], first, last, pieces, dict(pieces))
    return paper


def listed(door: Door, address: str, name: str, **query: str) -> list[dict[str, Any]]:
    """Return all entries of a list, page by page."""
    found: list[dict[str, Any]] = []
    while True:
        page = door.request("GET", address, params={**query, "limit": "50"}).json()
        found += page[name]
        if page["next"] is None:
            return found
        query["cursor"] = page["next"]


def replay(open_door: Callable[[], Door], plans: int, orders: int, seed: int, paper: Paper | None = None) -> Paper:
    """Let the three people work their day side by side; return the paper."""
    paper = on_paper(open_door()) if paper is None else paper
    kits: queue.Queue[int | None] = queue.Queue()
    failed: list[BaseException] = []

    def at_work(work: Callable[..., None], *more: Any) -> Callable[[], None]:
        def run() -> None:
            try:
                work(*more, kits)
            except BaseException as error:
                failed.append(error)
            finally:
                kits.put(None)

        return run

    jobs = [
        at_work(Planner("planner", open_door(), paper, seed).work, plans),
        at_work(Foreman("foreman", open_door(), paper, seed).work, orders),
        at_work(Storekeeper("storekeeper", open_door(), paper, seed).work, 2),
    ]
    threads = [threading.Thread(target=job) for job in jobs]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    if failed:
        raise failed[0]
    return paper


def holds_up(door: Door, paper: Paper) -> None:
    """Check that the store says what the paper says, and that nothing is promised twice."""
    assert date.today() == paper.start, "the day ended while it was replayed"
    shop = paper.shop
    lines = listed(door, "/v1/stock", "stock")
    assert {x["item"]: (x["count"], x["out_of_service"]) for x in lines} == {
        item: (shop.count[item], shop.broken[item]) for item in shop.count
    }
    there = listed(door, "/v1/reservations", "reservations")
    assert {x["id"]: (x["state"], paper.number(x["needed"]["from"]), paper.number(x["needed"]["to"])) for x in there} == {
        number: (slip.state, slip.first, slip.last) for number, slip in shop.slips.items()
    }
    outstanding = {x["id"]: {line["item"]: line["outstanding"] for line in x["lines"]} for x in there}
    assert outstanding == {number: slip.out for number, slip in shop.slips.items()}
    for first, last in ((1, 1), (3, 9), (HORIZON, HORIZON + 5)):
        free = listed(door, "/v1/stock", "stock", **{"from": paper.day(first), "to": paper.day(last)})
        assert {x["item"]: x["free"] for x in free} == {item: shop.free(item, first, last) for item in shop.count}
    over = {item: overdrawn(shop, item) for item in shop.count}
    assert all(pieces <= paper.lost.get(item, 0) for item, pieces in over.items()), "promised twice"
    hits = door.request("GET", "/v1/stock/hits").json()["hits"]
    assert {x["item"]: x["short"] for x in hits if x["short"]} == {item: pieces for item, pieces in over.items() if pieces}
    changes: dict[str, int] = {}
    for entry in listed(door, "/v1/stock/journal", "entries"):
        changes[entry["item"]] = changes.get(entry["item"], 0) + entry["count_change"]
    assert {item: pieces for item, pieces in changes.items() if pieces} == {
        i: pieces for i, pieces in shop.count.items() if pieces
    }


def overdrawn(shop: PaperShop, item: str) -> int:
    """Return by how many pieces the worst day's promises exceed what is in service."""
    usable = shop.count[item] - shop.broken[item]
    days = range(1, PROMISED_DAYS)
    return max(0, *(sum(slip.holds(item, day, shop.today) for slip in shop.slips.values()) - usable for day in days))


def test_a_few_hours_add_up(tmp_path: Path) -> None:
    store = opened(f"sqlite:///{tmp_path}/shop.sqlite3")
    fill_if_empty(store, read_stock(stock_document()))
    records = JobRecords(store, "day", 10, 24).create()
    app = create_app(Settings(workers=1), StoreStock(store), records, by_name)
    lifespan = app.router.lifespan_context(app)
    with asyncio.Runner() as loop:
        loop.run(lifespan.__aenter__())
        try:
            paper = replay(lambda: InProcess(app), plans=9, orders=16, seed=1)
            holds_up(InProcess(app), paper)
        finally:
            loop.run(lifespan.__aexit__(None, None, None))
            store.close()
    assert paper.done["plans"] == 9 and paper.done["reservations"] >= 9 and paper.done["take_back"] >= 3


@contextmanager
def live_server(url: str) -> Iterator[tuple[str, int]]:
    """Serve the demo shop in a process of its own; give its address and process id."""
    environment = {"HOLDWRIGHT_PORT": "0", "HOLDWRIGHT_DB": url}
    with tempfile.TemporaryFile("w+") as log:
        process = subprocess.Popen([sys.executable, str(SERVER), json.dumps(environment)], stdout=log, stderr=log)
        try:
            ends, found = time.monotonic() + 60, None
            while found is None and time.monotonic() < ends:
                time.sleep(0.1)
                log.seek(0)
                found = re.search(r"listening on (http://\S+)", log.read())
            assert found is not None, "the server does not listen"
            yield found[1], process.pid
        finally:
            process.send_signal(signal.SIGTERM)
            assert process.wait(30) == 0


def resident_kb(pid: int) -> int:
    """Return the resident memory of a process, kB."""
    found = re.search(r"^VmRSS:\s+(\d+) kB", Path(f"/proc/{pid}/status").read_text(), re.MULTILINE)
    assert found is not None
    return int(found[1])


@pytest.mark.slow
@pytest.mark.parametrize("kind", KINDS)
def test_a_whole_day_adds_up_and_memory_does_not_grow(kind: str, tmp_path: Path) -> None:
    with live_server(new_database(kind, tmp_path)) as (address, pid), ExitStack() as doors:

        def open_door() -> httpx.Client:
            return doors.enter_context(httpx.Client(base_url=address, timeout=60))

        began = time.monotonic()
        paper = replay(open_door, plans=100, orders=110, seed=1)
        warm = resident_kb(pid)
        replay(open_door, plans=210, orders=220, seed=2, paper=paper)
        end = resident_kb(pid)
        holds_up(open_door(), paper)
    shown = {"minutes": round((time.monotonic() - began) / 60, 1), "slowest_s": round(paper.slowest_s, 2), **paper.done}
    print(json.dumps({"db": kind, "memory_kb": [warm, end], **shown}))
    assert paper.done["plans"] >= 300 and paper.done["reservations"] >= 200
    assert {"take_back", "break", "move", "release", "re-plans", "hand_out"} <= set(paper.done)
    assert end - warm < GROWTH_KB
