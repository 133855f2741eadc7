"""`holdwright rules what-if`: changed rules held against the plans of a store."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

import pytest

from inventory.store import Store, open_store
from service.documents import plan_document, request_document
from service.records.job import Job
from service.records.jobs import JobRecords
from service.stockroom.first_stock import fill_if_empty
from solver.deadline import Deadline
from tests.commands import holdwright
from tests.service.hand_made import hand_made
from tests.shelf import READERS
from tests.solver.checks import tab_job


@pytest.fixture
def shop(tmp_path: Path) -> str:
    """A store with a plan that has no score yet."""
    url = f"sqlite:///{tmp_path / 'shop.sqlite3'}"
    store: Store = open_store(url, READERS)
    fill_if_empty(store, tab_job.stock())
    request = replace(tab_job.request(), quantity=20)
    made = hand_made(request, tab_job.stock(), deadline=Deadline(lambda: 60.0))
    at = datetime(2027, 3, 1, tzinfo=UTC)
    job = Job("one", "done", at, json.dumps(request_document(request)), finished_at=at, plan=plan_document(made), name="tab")
    JobRecords(store, "a", 10, 24).create().add(job, None, "", 9)
    store.close()
    return url


def test_prices_and_limits_are_told_and_a_broken_limit_is_exit_code_1(shop: str) -> None:
    dearer = holdwright("rules", "what-if", "rate.labour_cents_per_hour=6100", "--db", shop, "--json")
    assert dearer.returncode == 0, dearer.stderr
    document = json.loads(dearer.stdout)
    assert document["totals"]["price_changes"] == 1 and not document["not_scored"]
    tighter = holdwright("rules", "what-if", "clear.body=50", "--db", shop)
    assert tighter.returncode == 1 and "clear.body" in tighter.stdout and "1 break a limit" in tighter.stderr


def test_words_and_plans_that_are_not_there_are_bad_input(shop: str) -> None:
    for words in (("clear.wled=3",), ("clear.weld",), ("clear.weld=3", "--plan", "nothing")):
        assert holdwright("rules", "what-if", *words, "--db", shop).returncode == 2
