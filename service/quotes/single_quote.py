"""One quote on this machine: its plans are made in as many processes as it has cores, the prices follow as they come."""

from __future__ import annotations

import json
import secrets
import threading
from collections import deque
from collections.abc import Callable, Mapping
from concurrent.futures import FIRST_COMPLETED, Future, ThreadPoolExecutor, wait
from dataclasses import dataclass, field
from typing import Any

from inventory.stock import StockSnapshot
from service.documents.quotes.group_prices import GroupPrices
from service.documents.quotes.inquiry import Inquiry
from service.documents.quotes.price_facts import PriceFacts, price_facts
from service.planning_jobs.child import solve_document
from service.planning_jobs.content import days_of
from service.planning_jobs.job_in_hand import JobInHand
from service.planning_jobs.ledger_files import LedgerFiles
from service.planning_jobs.outcome import Outcome, plan_outcome
from service.planning_jobs.planner import Planner
from service.planning_jobs.scratch import Scratch
from service.planning_jobs.worker_pool import WorkerPool
from service.records.database import now
from service.records.job import Job
from service.settings import Settings
from service.stockroom.stock_source import Days, StockSource

_BACKSTOP_S = 5.0
KeepPlan = Callable[[int, int, Mapping[str, Any]], str]
"""Keeps a plan document of a group at a quantity; returns what it is found by."""


@dataclass
class _Progress:
    """A group on its way: its facts, the quantities that are being planned, what went wrong."""

    facts: list[PriceFacts] = field(default_factory=list)
    open: set[int] = field(default_factory=set)
    failed: str | None = None


class SingleQuote:
    """The work on one inquiry.

    Parameters
    ----------
    workers : int
        Processes that plan.
    keep : callable
        Keeps every plan that is made.
    on_prices : callable
        Called with the place of a group whose prices are all known, and with them.
    """

    def __init__(
        self, inquiry: Inquiry, stock: StockSource, planner: Planner, settings: Settings, workers: int,
        ledgers: LedgerFiles | None, keep: KeepPlan, on_prices: Callable[[int, GroupPrices], None] = lambda place, prices: None,
    ) -> None:  # fmt: skip
        self._inquiry, self._stock, self._planner, self._settings = inquiry, stock, planner, settings
        self._workers, self._ledgers, self._keep, self._on_prices = workers, ledgers, keep, on_prices
        self._groups = [_Progress() for _ in inquiry.groups]
        self._quantities = [inquiry.quantities(place) for place in range(len(inquiry.groups))]
        self._shelves: dict[Days | None, StockSnapshot] = {}
        self._hands: set[JobInHand] = set()
        self._lock, self._stopping = threading.Lock(), threading.Event()

    def stop(self) -> None:
        """Have it end with what is known; plans under way keep their best so far."""
        self._stopping.set()
        with self._lock:
            for hand in self._hands:
                hand.cancel()

    @property
    def failed(self) -> dict[int, str]:
        """What went wrong, by the place of the group."""
        return {place: each.failed for place, each in enumerate(self._groups) if each.failed is not None}

    def prices(self, place: int) -> GroupPrices:
        """Return the prices of a group as far as they are known."""
        asked, inquiry = self._groups[place], self._inquiry
        facts = tuple(sorted(asked.facts, key=lambda each: each.quantity))
        basis = inquiry.groups[place].basis
        return GroupPrices(basis, self._quantities[place], facts, inquiry.break_even, inquiry.price_only)

    def worked_out(self) -> list[GroupPrices]:
        """Return the prices of all groups, once every plan is made that they need, or after a stop."""
        pool, scratch = WorkerPool(self._workers, (self._planner.__module__, "service.planning_jobs.child")), Scratch()
        waiting: deque[tuple[int, int]] = deque()
        running: dict[Future[Outcome | None], tuple[int, int]] = {}
        try:
            pool.start()
            with ThreadPoolExecutor(self._workers, "holdwright-quote") as threads:
                for place in range(len(self._groups)):
                    self._ask_next(place, waiting)
                while waiting or running:
                    while waiting and len(running) < self._workers and not self._stopping.is_set():
                        asked = waiting.popleft()
                        running[threads.submit(self._planned, pool, scratch, *asked)] = asked
                    if not running:
                        break
                    done, _ = wait(running, timeout=0.2, return_when=FIRST_COMPLETED)
                    for future in done:
                        place, quantity = running.pop(future)
                        self._take(place, quantity, future.result())
                        self._ask_next(place, waiting)
        finally:
            pool.stop()
            scratch.remove()
        return [self.prices(place) for place in range(len(self._groups))]

    def _ask_next(self, place: int, waiting: deque[tuple[int, int]]) -> None:
        """Have the quantities planned that a group needs next, once none of its plans is under way; tell if it needs none."""
        asked = self._groups[place]
        if asked.open:
            return
        more = () if asked.failed is not None else self.prices(place).next_quantities()
        asked.open.update(more)
        # A group that is begun goes first: its lines are told soon.
        waiting.extendleft((place, quantity) for quantity in reversed(more)) if asked.facts else waiting.extend(
            (place, quantity) for quantity in more
        )
        if not more:
            self._on_prices(place, self.prices(place))

    def _planned(self, pool: WorkerPool, scratch: Scratch, place: int, quantity: int) -> Outcome | None:
        document = self._inquiry.groups[place].at(quantity)
        job = Job(secrets.token_hex(8), "running", now(), json.dumps(document, ensure_ascii=False))
        settings, shelf = self._settings, self._shelf(days_of(document))
        limit_s = settings.check_limit + settings.time_limit + _BACKSTOP_S
        while not self._stopping.is_set():
            hand = JobInHand(job, settings.grace, settings.check_limit)
            with scratch.job_folder(job.id) as folder:
                task = (self._planner, job.request, shelf, folder, self._ledgers, job.id)
                future = pool.run(solve_document, task, limit_s)
                with self._lock:
                    self._hands.add(hand)
                    if self._stopping.is_set():
                        hand.cancel()
                hand.watch(future, folder, lambda events, best: True)
                with self._lock:
                    self._hands.discard(hand)
                end = plan_outcome(future, folder, hand.cancelled)
            if end is not None:
                return end
        return None

    def _shelf(self, days: Days | None) -> StockSnapshot:
        with self._lock:
            if days not in self._shelves:
                self._shelves[days] = self._stock.snapshot(days)
            return self._shelves[days]

    def _take(self, place: int, quantity: int, end: Outcome | None) -> None:
        asked = self._groups[place]
        asked.open.discard(quantity)
        document = None if end is None else end.document
        if end is None or (document is None and self._stopping.is_set()):
            asked.failed = asked.failed or "stopped before it was planned"
        elif document is None:
            asked.failed = end.detail or "the planner failed"
        else:
            source = self._keep(place, quantity, document)
            asked.facts.append(price_facts(document, quantity, source))
            if self._stopping.is_set():
                asked.failed = asked.failed or "stopped before all of it was planned"
