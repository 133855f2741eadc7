"""Workers killed while they plan for a quote, on every way of sharing jobs: the quote ends with every price, each the right one."""

from __future__ import annotations

import random
import signal
import time
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from inventory.store import Readers, open_store
from service.documents import read_item, read_table
from service.records.database import now
from service.records.job import Job
from service.records.jobs import JobRecords
from service.records.quotes import KeptGroup, KeptQuote, QuoteRecords
from tests.crash.test_kill_jobs import ADAPTERS, Fleet, fleet
from tests.databases import database
from tests.service.asked import asked
from tests.service.planners import KITS, priced_total
from tests.service.served import START_S, until

__all__ = ["database"]
QUANTITIES = (1, 7, 40, 200, 3000)


def quote_asked(running: Fleet, weldments: int) -> str:
    names = [f"priced slowly {number}" for number in range(weldments)]
    lines = [{"request": name, "quantity": each} for name in names for each in QUANTITIES]
    body = {"format": "holdwright.inquiry/1", "requests": {name: asked(name) for name in names}, "lines": lines}
    taken = running.front.door.post("/v1/quotes", json=body)
    assert taken.status_code == 202, taken.text
    return str(taken.headers["location"])


def every_price_is_right(running: Fleet, address: str, weldments: int, seconds: float) -> None:
    quote = until(lambda: _ended(running, address), seconds, running.front.log)
    lines = quote["quote"]["lines"]
    assert (quote["state"], len(lines)) == ("done", weldments * len(QUANTITIES))
    for line in lines:
        assert (line["status"], line["because"]) == ("optimal", [])
        assert line["total_cents"] == min(priced_total(line["quantity"], kit) for kit in KITS)


def _ended(running: Fleet, address: str) -> dict[str, Any] | None:
    quote: dict[str, Any] = running.front.door.get(address).json()
    return quote if quote["state"] != "running" else None


def killed_meanwhile(running: Fleet, times: int, weldments: int, seconds: float) -> None:
    chance = random.Random(times)
    solver = running.one_more()
    address = quote_asked(running, weldments)
    for kill in range(times):
        until(solver.solving, START_S, solver.log)
        time.sleep(chance.uniform(0, 0.3))
        solver.end(signal.SIGKILL)
        if kill + 1 < times or running.adapter == "queue":  # where only workers solve, one must be left
            solver = running.one_more()
    every_price_is_right(running, address, weldments, seconds)


def test_a_group_is_taken_further_by_whoever_is_first(database: str) -> None:
    """Two servers read the same group; the plans that the second asks for are not made, and a quote that was ended stays so."""
    store = open_store(database, Readers(lambda item: read_item(dict(item)), lambda table: read_table(dict(table))))
    jobs = JobRecords(store, "one", 10, 24).create()
    quotes = QuoteRecords(store, 24)
    group = KeptGroup(0, "{}", "post", {}, (3,), "content")
    quote = KeptQuote("q", "spring", "running", 0, now(), [{"group": 0}], False, True, (group,))
    assert {quotes.add(quote, "key", "body", None).id for _ in range(2)} == {"q"}
    assert quotes.get("q") == replace(quote, groups=(replace(group, quantities=[3], warnings=[], facts=[], under_way={}),))
    wants = [Job(id, "queued", now(), "{}", quote="q") for id in ("first", "second")]
    assert quotes.take_further("q", replace(group, under_way={"3": "first"}), wants[:1], False)
    assert not quotes.take_further("q", replace(group, under_way={"3": "second"}), wants[1:], False)
    assert (jobs.get("first") is None, jobs.get("second") is None) == (False, True)
    assert [each.under_way for each in quotes.under_work()] == [{"3": "first"}]
    ended = quotes.cancel("q")
    assert ended is not None and ended.state == "cancelled" and quotes.under_work() == []
    assert not quotes.take_further("q", replace(group, version=2), (), True)
    store.close()


@pytest.mark.slow
def test_a_worker_killed_in_the_middle_of_a_quote_loses_nothing(tmp_path: Path) -> None:
    with fleet(tmp_path, "queue") as running:
        killed_meanwhile(running, 1, 3, 60)


@pytest.mark.slow
@pytest.mark.parametrize("adapter", ADAPTERS)
def test_workers_killed_ten_times_in_the_middle_of_a_quote(tmp_path: Path, adapter: str) -> None:
    with fleet(tmp_path, adapter) as running:
        killed_meanwhile(running, 10, 60, 300)


@pytest.mark.slow
@pytest.mark.parametrize("adapter", ADAPTERS)
def test_the_server_that_takes_the_quote_further_killed_three_times(tmp_path: Path, adapter: str) -> None:
    """Another server on the same database goes on where it was."""
    with fleet(tmp_path, adapter) as running:
        running.one_more()
        address = quote_asked(running, 20)
        for _ in range(3):
            time.sleep(1.5)
            running.front.end(signal.SIGKILL)
            running.solvers.append(running.front)
            running.restart_front()
        every_price_is_right(running, address, 20, 200)
