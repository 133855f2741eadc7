"""The whole application in this process, its workers in theirs; the planner is the one tests steer by the weldment's name."""

from __future__ import annotations

import asyncio
import time
from collections.abc import Iterator
from contextlib import contextmanager, nullcontext
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import httpx
import pytest
from fastapi import FastAPI

from inventory.stock import StockSnapshot
from inventory.store import Readers, open_store
from service.documents import read_item, read_table
from service.http.app import create_app
from service.page.page import add_page
from service.planning_jobs.planner import Planner
from service.planning_jobs.worker_pool import WorkerPool
from service.records.jobs import JobRecords
from service.settings import Settings
from service.stockroom.first_stock import fill_if_empty
from service.stockroom.stock_source import StoreStock
from service.tracing import Tracing
from solver.planning import plan
from tests.service.asked import DEMO_STOCK, FixedStock, asked
from tests.service.http.shop import Shop
from tests.service.planners import by_name

HERE = "http://localhost"


@dataclass
class House:
    """The application and a caller at its door."""

    app: FastAPI
    stock: FixedStock
    settings: Settings
    loop: asyncio.Runner

    def call(self, method: str, address: str, **more: Any) -> httpx.Response:
        """Make one call."""

        async def once() -> httpx.Response:
            door = httpx.ASGITransport(app=self.app, raise_app_exceptions=False)
            async with httpx.AsyncClient(transport=door, base_url=HERE, timeout=30) as client:
                return await client.request(method, address, **more)

        return self.loop.run(once())

    def ask(
        self, name: str = "plain", wait: int | None = None, key: str | None = None, again: bool = False, **changes: Any
    ) -> httpx.Response:
        """Ask for a plan of a weldment of that name, solved anew unless what was solved before will do again."""
        headers = {"Prefer": f"wait={wait}"} if wait is not None else {}
        headers |= {} if again else {"Cache-Control": "no-cache"}
        headers |= {"Idempotency-Key": key} if key is not None else {}
        return self.call("POST", "/v1/plans", json=asked(name, **changes), headers=headers)

    def until(self, id: str, *states: str) -> dict[str, Any]:
        """Return a job as soon as it is in one of the states."""
        ends = time.monotonic() + 15
        while time.monotonic() < ends:
            job: dict[str, Any] = self.call("GET", f"/v1/plans/{id}").json()
            if job["state"] in states:
                return job
            time.sleep(0.02)
        raise AssertionError(f"the job is {job['state']}, not {states}")


@pytest.fixture(scope="module")
def house(tmp_path_factory: pytest.TempPathFactory) -> Iterator[House]:
    """Two workers, half a second of grace, three places in the queue."""
    yield from opened(tmp_path_factory.mktemp("house"), Settings(grace=0.5, queue=3, time_limit=60))


def opened(
    folder: Path, settings: Settings, tracing: Tracing | None = None, shelf: StockSnapshot | None = None,
    solves: Planner = plan, warm: bool = False,
) -> Iterator[House]:  # fmt: skip
    """Open a house for as long as the iteration lasts; one with a shelf keeps it in its store and `solves`.

    Unless `warm`, its processes are put up when the first task comes.
    """
    store = open_store(
        f"sqlite:///{folder / 'shop.sqlite3'}", Readers(lambda d: read_item(dict(d)), lambda d: read_table(dict(d)))
    )
    stock = FixedStock()
    records = JobRecords(store, "house", settings.lease, settings.key_hours).create()
    if shelf is not None:
        fill_if_empty(store, shelf)
    source, planner = (stock, by_name) if shelf is None else (StoreStock(store), solves)
    app = add_page(create_app(settings, source, records, planner=planner, tracing=tracing))
    lifespan = app.router.lifespan_context(app)
    with asyncio.Runner() as loop, nullcontext() if warm else unwarmed():
        loop.run(lifespan.__aenter__())
        try:
            yield House(app, stock, settings, loop)
        finally:
            loop.run(lifespan.__aexit__(None, None, None))
            store.close()


@contextmanager
def unwarmed() -> Iterator[None]:
    """Put pools of processes up when the first task comes, not with the application: most files of tests have none for them."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(WorkerPool, "start", lambda pool: None)
        patch.setattr(WorkerPool, "alive", property(lambda pool: True))
        yield


@pytest.fixture
def shop(database: str) -> Iterator[Shop]:
    """Six risers and four stops, on either database."""
    opened = Shop(database)
    opened.add("riser-75", 6)
    opened.add("stop-60", 4)
    yield opened
    opened.store.close()


@pytest.fixture(autouse=True)
def demo_stock(request: pytest.FixtureRequest) -> None:
    """Put the demo shop's stock back where a test changed it."""
    if "house" in request.fixturenames:
        request.getfixturevalue("house").stock.now = DEMO_STOCK
