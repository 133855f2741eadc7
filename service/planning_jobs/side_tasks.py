"""Processes beside the solving ones, for what may take long to read, to check or to answer; who waits for them holds no thread.

The server itself stays quick.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from typing import Any, TypeVar

from anyio.to_thread import run_sync

from inventory.errors import InvalidDocument
from inventory.stock import StockSnapshot
from service.documents.rule_books.known_books import BUILT_IN, Books, KnownBooks
from service.documents.stored_weldments.stored_version import FoundWeldments
from service.errors import JobError, TooManyDocuments, TooManyQuestions
from service.planning_jobs.planner import Planner
from service.planning_jobs.reading import Accepted, accept_advice, accept_request, accept_week, read_aside
from service.planning_jobs.worker_pool import WorkerPool
from service.stockroom.kits import PlannedKit
from solver.checks import Report, check
from solver.deadline import Deadline
from solver.plans import Plan
from solver.request import Request

T = TypeVar("T")
QUICK_BYTES = 16_000
MOST_DOCUMENTS = 32
"""So many large documents are read or checked, or wait for it, at once."""
MOST_QUESTIONS = 4
"""So many questions about plans are worked on or wait at once."""
START_S = 10.0
"""A process may have to start, by so much before it is ended."""


class Places:
    """So many at once, and no more; of one event loop.

    Parameters
    ----------
    refusal : callable
        Makes the error for whoever comes when all places are taken.
    """

    def __init__(self, most: int, refusal: Callable[[int], JobError]) -> None:
        self._most, self._refusal, self.taken = most, refusal, 0

    @contextmanager
    def one(self) -> Iterator[None]:
        """Take a place meanwhile; raises what `refusal` makes."""
        if self.taken >= self._most:
            raise self._refusal(self._most)
        self.taken += 1
        try:
            yield
        finally:
            self.taken -= 1


class SideTasks:
    """Two processes that read and check, one that answers questions about plans.

    Parameters
    ----------
    limit_s : float
        Reading or a check that takes longer is ended.
    planner : Planner
        Makes the plans that questions come down to.
    """

    def __init__(self, limit_s: float, planner: Planner) -> None:
        self._limit_s, self._planner = limit_s, planner
        self._pool = WorkerPool(2, ("solver.checks", "service.planning_jobs.side_tasks"))
        self._planners = WorkerPool(1, (planner.__module__, "service.planning_jobs.side_tasks"))
        self.documents = Places(MOST_DOCUMENTS, TooManyDocuments)
        self.questions = Places(MOST_QUESTIONS, TooManyQuestions)

    def start(self) -> None:
        """Start the processes that read and check, so that the first one to ask does not wait for them."""
        self._pool.start()

    async def read(
        self, document: Any, stock: StockSnapshot, size: int, books: Books = BUILT_IN
    ) -> tuple[Request, tuple[str, ...]]:  # fmt: skip
        """Return a request and what is odd about it; a large one (`size` in bytes) is read in another process.

        Raises
        ------
        InvalidDocument
            With every fault.
        TooManyDocuments, TaskOverdue, TaskDied, Stopping
        """
        found = await self._read(size, read_aside, document, stock, books)
        if found.request is None:
            raise InvalidDocument(found.faults)
        return found.request, found.warnings

    async def accept(
        self,
        document: Any,
        stock: StockSnapshot,
        size: int,
        books: KnownBooks,
        kept: Mapping[str, Any] | None = None,
        weldments: FoundWeldments | None = None,
    ) -> Accepted:
        """Return what is known of a request that came in; raises TooManyDocuments, TaskOverdue, TaskDied, Stopping."""
        return await self._read(size, accept_request, document, stock, books, kept, weldments)

    async def accept_advice(
        self, raw: bytes, stock: StockSnapshot, books: KnownBooks, weldments: FoundWeldments | None = None
    ) -> Accepted:  # fmt: skip
        """Return what is known of a question for advice; raises TooManyDocuments, TaskOverdue, TaskDied, Stopping."""
        return await self._read(len(raw), accept_advice, raw, stock, books, weldments)

    async def accept_week(
        self,
        raw: bytes,
        stock: StockSnapshot,
        kits: Mapping[str, PlannedKit],
        books: KnownBooks,
        weldments: FoundWeldments | None = None,
    ) -> Accepted:
        """Return what is known of a week; raises TooManyDocuments, TaskOverdue, TaskDied, Stopping."""
        return await self._read(len(raw), accept_week, raw, stock, kits, books, weldments)

    async def check(self, request: Request, stock: StockSnapshot, plan: Mapping[str, Any]) -> Report:
        """Return the report of an independent check; raises TooManyDocuments, TaskOverdue, TaskDied, Stopping."""
        with self.documents.one():
            return await self._done("the check", check, request, stock, plan)

    async def work(self, what: str, task: Callable[..., T], *arguments: Any) -> T:
        """Return what a task answers that reads or checks documents; raises TooManyDocuments, TaskOverdue, TaskDied, Stopping."""
        with self.documents.one():
            return await self._done(what, task, *arguments)

    async def plan(self, request: Request, stock: StockSnapshot) -> Plan:
        """Return the plan of a request that a question comes down to, made within its time limit.

        Raises
        ------
        TooManyQuestions, TaskOverdue, TaskDied, Stopping
        """
        with self.questions.one():
            limit_s = request.time_limit_s + START_S
            made: Plan = await self._planners.answer("the answer", planned_aside, (self._planner, request, stock), limit_s)
            return made

    async def read_by(self, reader: Callable[..., T], size: int, *arguments: Any) -> T:
        """Return what a reader makes of a document of so many bytes; raises what `accept` does."""
        return await self._read(size, reader, *arguments)

    def stop(self) -> None:
        """End the processes; whoever waits for them hears that the server is stopping."""
        self._planners.stop(1.0)
        self._pool.stop(1.0)

    async def _read(self, size: int, task: Callable[..., T], *arguments: Any) -> T:
        if size <= QUICK_BYTES:
            return await run_sync(lambda: task(*arguments))
        with self.documents.one():
            return await self._done("reading", task, *arguments)

    async def _done(self, what: str, task: Callable[..., T], *arguments: Any) -> T:
        found: T = await self._pool.answer(what, task, arguments, self._limit_s)
        return found


def planned_aside(planner: Planner, request: Request, stock: StockSnapshot) -> Plan:
    """Plan a request within its time limit, in this process."""
    return planner(request, stock, deadline=Deadline.on(time.monotonic, request.time_limit_s))
