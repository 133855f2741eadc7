"""A shop with a key of every role, asked with one of them or with none."""

from __future__ import annotations

import asyncio
from datetime import UTC, datetime, timedelta
from typing import Any

import httpx
import sqlalchemy as sa

from service.access.api_keys import MadeKey, make
from service.http.app import create_app
from service.page.page import add_page
from service.records.keys import KeyRecords
from service.records.writes import Asked
from service.roles import ROLES, Role
from service.settings import Settings
from service.stockroom.stock_source import StoreStock
from solver.planning import plan
from tests.service.http.shop import SIGNED, Shop, full_item

FAR_AWAY = "203.0.113.9"


def asked_now(operation: str = "make_key") -> Asked:
    return Asked(None, "tests", operation, "tests", datetime.now(UTC))


class KeyedShop(Shop):
    """Six risers and four stops, and a key of every role."""

    def __init__(self, url: str, **settings: Any) -> None:
        super().__init__(url)
        self.add("riser-75", 6)
        self.add("stop-60", 4)
        self.settings = Settings(hosts="*", **settings)
        self.app = add_page(create_app(self.settings, StoreStock(self.store), self.records, plan))
        self.keys = {role: self.make(role).text for role in ROLES}

    def make(self, role: Role, name: str = "", days: float | None = None) -> MadeKey:
        expires_at = None if days is None else datetime.now(UTC) + timedelta(days=days)
        return make(KeyRecords(self.store), name or f"the {role}", role, expires_at, asked_now())

    def by(self, key: str | None, method: str, path: str, json: Any = None, **more: Any) -> httpx.Response:
        """Ask with a key, or the key of a role, or without one."""
        headers = dict(more.pop("headers", None) or {})
        client = more.pop("client", "127.0.0.1")
        scheme = more.pop("scheme", "http")
        if key is not None:
            headers["Authorization"] = f"Bearer {self.keys.get(key, key)}"  # type: ignore[call-overload]

        async def send() -> httpx.Response:
            transport = httpx.ASGITransport(self.app, raise_app_exceptions=False, client=(client, 50000))
            async with httpx.AsyncClient(transport=transport, base_url=f"{scheme}://shop") as door:
                return await door.request(method, path, json=json, headers=headers, **more)

        return asyncio.run(send())

    def writes(self, **wanted: str) -> list[dict[str, Any]]:
        found: list[dict[str, Any]] = self.by("admin", "GET", "/v1/writes", params=wanted).json()["writes"]
        return found

    def receive(self, key: str | None, **more: Any) -> httpx.Response:
        """Write down that a riser came."""
        return self.by(key, "POST", "/v1/stock/riser-75/entries", {"do": "receive", "pieces": 1, **SIGNED}, **more)

    def everything_kept(self) -> str:
        """Return every row of every table as text."""
        metadata = sa.MetaData()
        with self.store.engine.connect() as connection:
            metadata.reflect(connection)
            return "\n".join(str(row) for table in metadata.sorted_tables for row in connection.execute(sa.select(table)))


__all__ = ["FAR_AWAY", "KeyedShop", "asked_now", "full_item"]
