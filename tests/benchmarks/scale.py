"""A paper model of many workers on one PostgreSQL database, fed with what each step takes here: what is full first.

python -m tests.benchmarks scale [--solve SECONDS] [--events N]

A worker that always has work solves `1 / solve` jobs a second. Each job writes itself down in its turn among all writers of the stock;
it is claimed, and writes batches of progress and its answer, beside that turn, as many at a time as the database can; each worker renews
its leases. What happens one at a time is a queue with one server, whose utilisation `rho` is the sum of rate x time (utilisation law:
Lazowska, Zahorjan, Graham, Sevcik, "Quantitative System Performance", 1984, chapter 3; source not checked), and whose waits grow as
1 / (1 - rho). What happens side by side is full at the rate that was measured with WRITERS of them.
"""

from __future__ import annotations

import gzip
import json
import tempfile
import time
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from datetime import UTC, datetime
from functools import partial
from itertools import count
from pathlib import Path
from statistics import median

from inventory.store import Store
from service.demo import MAIN_JOB, job_document, stock_document
from service.documents import read_request, read_stock
from service.records.job import Job
from service.records.jobs import JobRecords
from service.stockroom.first_stock import fill_if_empty
from service.stockroom.stock_source import StoreStock, opened
from tests.databases import new_database
from tests.service.drawings.kept import PLANS

ROUNDS = 200
WRITERS = 16
SOLVE_S, EVENTS = 10.0, 20
LEASE_S = 10.0
WORKERS = (1, 10, 100, 300, 1000)
CONNECTIONS = 5
"""Connections a worker process holds at least: the queue's, its listener, the store's."""
_IDS = count(1)


@dataclass(frozen=True, slots=True)
class StepTimes:
    """What one of each step takes, alone on the database, s; the bytes an answer has."""

    add: float
    claim: float
    events: float
    finish: float
    renew: float
    snapshot: float
    read: float
    answer_bytes: int
    beside_per_s: float
    """Batches of progress that WRITERS write down in a second, all together."""


def report(solve_s: float, events: int) -> None:
    """Print the times, and for several numbers of workers how full each thing they share is."""
    with tempfile.TemporaryDirectory() as folder:
        times = measured(new_database("postgresql", Path(folder), durable=True))
    for name in ("add", "claim", "events", "finish", "renew", "snapshot", "read"):
        print(f"{name:<10} {1000 * getattr(times, name):7.2f} ms")
    print(f"an answer  {times.answer_bytes / 1000:7.1f} kB\n")
    print(f"solves of {solve_s:g} s, {events} batches of progress each, leases of {LEASE_S:g} s")
    print(f"{WRITERS} together write {times.beside_per_s:.0f} batches of progress a second")
    print("workers  jobs/s  writers' turn  beside it  reading, cores  answers, GB a day  connections")
    for workers in WORKERS:
        jobs = workers / solve_s
        day = jobs * 86_400 * times.answer_bytes / 1e9
        print(
            f"{workers:7d} {jobs:7.1f} {jobs * times.add:14.2f} {beside(times, workers, solve_s, events):10.2f}"
            f" {jobs * times.read:15.2f} {day:18.1f} {CONNECTIONS * workers:12d}"
        )
    print(f"the writers' turn is full at {solve_s / times.add:.0f} workers, the database's other writes at ", end="")
    print(f"{1 / beside(times, 1, solve_s, events):.0f}")


def beside(times: StepTimes, workers: int, solve_s: float, events: int) -> float:
    """Return the share of what can be written side by side that so many workers write, more than 1 if it does not suffice.

    A claim, an answer and a renewal count as what they take alone, in batches of progress.
    """
    a_job = times.claim + events * times.events + times.finish
    in_batches = (a_job / solve_s + times.renew / (LEASE_S / 3)) / times.events
    return workers * in_batches / times.beside_per_s


def measured(url: str) -> StepTimes:
    """Return what each step takes on a database that waits for its disk."""
    store = opened(url)
    try:
        fill_if_empty(store, read_stock(stock_document()))
        return _measured(store)
    finally:
        store.close()


def _measured(store: Store) -> StepTimes:
    records = JobRecords(store, "measure", LEASE_S, 24).create()
    leases, stock = records.leases, StoreStock(store)
    document = json.loads(gzip.decompress((PLANS / f"{MAIN_JOB}.plan.json.gz").read_bytes()))
    request = job_document(MAIN_JOB)
    text, shelf = request.decode(), stock.snapshot()
    event = {"elapsed_s": 1.0, "incumbent_cents": 4711, "bound_cents": 4000, "gap": 0.15, "alternatives": 1}

    def ids() -> str:
        return f"{next(_IDS):016x}"

    def add() -> None:
        records.add(Job(ids(), "queued", datetime.now(UTC), text), None, "", 10_000)

    def claimed() -> str:
        job = leases.claim()
        assert job is not None
        return job.id

    added = middle(add)
    claims, held = [], []
    for _ in range(ROUNDS):
        began = time.perf_counter()
        held.append(claimed())
        claims.append(time.perf_counter() - began)
    together = beside_rate(lambda number: leases.add_events(held[number], [event]))
    finishes = iter(held[1:])
    return StepTimes(
        add=added,
        claim=median(claims),
        events=middle(lambda: leases.add_events(held[0], [event])),
        renew=middle(lambda: leases.renew(held[:1])),
        finish=middle(lambda: leases.finish(next(finishes), "done", document), ROUNDS - 1),
        snapshot=middle(stock.snapshot),
        read=middle(partial(read_request, request, shelf)),
        answer_bytes=len(json.dumps(document)),
        beside_per_s=together,
    )


def beside_rate(act: Callable[[int], object]) -> float:
    """Return how often something is done in a second by WRITERS side by side, each of which is given its number."""
    began = time.perf_counter()
    with ThreadPoolExecutor(WRITERS) as pool:
        for done in [pool.submit(act, number) for _ in range(ROUNDS) for number in range(WRITERS)]:
            done.result()
    return WRITERS * ROUNDS / (time.perf_counter() - began)


def middle(act: Callable[[], object], rounds: int = ROUNDS) -> float:
    """Return what something takes in the middle, s."""
    taken = []
    for _ in range(rounds):
        began = time.perf_counter()
        act()
        taken.append(time.perf_counter() - began)
    return median(taken)
