"""A shop with a store behind HTTP, asked from a test."""

from __future__ import annotations

import asyncio
from datetime import date, timedelta
from typing import Any

import httpx

from inventory.store import Readers, open_store
from service.documents import read_item, read_table
from service.http.app import create_app
from service.page.page import add_page
from service.records.jobs import JobRecords
from service.settings import Settings
from service.stockroom.stock_source import StoreStock
from solver.planning import plan
from tests.shelf import item_document

TODAY = date.today()
SIGNED = {"who": "planner", "why": "post-118"}


def day(after: int) -> str:
    return (TODAY + timedelta(days=after)).isoformat()


def full_item(id: str = "riser-75", **more: Any) -> dict[str, Any]:
    figures = {"repeatability_mm": 0.05, "stiffness_n_per_mm": 20000, "mass_kg": 1.2, "place_s": 30, "set_s": 0}
    return item_document(id, **figures) | more


class Shop:
    """A shop behind HTTP, asked from a test."""

    def __init__(self, url: str, **settings: Any) -> None:
        self.store = open_store(url, Readers(lambda item: read_item(dict(item)), lambda table: read_table(dict(table))))
        self.records = JobRecords(self.store, "tests", 10, 24).create()
        self.app = add_page(create_app(Settings(hosts="*", **settings), StoreStock(self.store), self.records, plan))

    def ask(self, method: str, path: str, json: Any = None, **more: Any) -> httpx.Response:
        async def send() -> httpx.Response:
            transport = httpx.ASGITransport(self.app, raise_app_exceptions=False)
            async with httpx.AsyncClient(transport=transport, base_url="http://shop") as client:
                return await client.request(method, path, json=json, **more)

        return asyncio.run(send())

    def add(self, id: str, pieces: int) -> None:
        assert self.ask("POST", "/v1/items", full_item(id)).status_code == 201
        if pieces:
            entry = {"do": "receive", "pieces": pieces, **SIGNED}
            assert self.ask("POST", f"/v1/stock/{id}/entries", entry).status_code == 201

    def reserve(self, first: int = 1, last: int = 2, headers: Any = None, **pieces: int) -> httpx.Response:
        lines = [{"item": item.replace("_", "-"), "count": count} for item, count in pieces.items()]
        order = {"job": "hinge posts", "needed": {"from": day(first), "to": day(last)}, "lines": lines, **SIGNED}
        return self.ask("POST", "/v1/reservations", order, headers=headers)

    def step(self, number: int, step: str, version: int | str, **more: Any) -> httpx.Response:
        match = version if isinstance(version, str) else f'"{version}"'
        return self.ask("POST", f"/v1/reservations/{number}/{step}", SIGNED | more, headers={"If-Match": match})
