"""A shop with keys whose store is the demo shop's."""

from __future__ import annotations

from service.stockroom.first_stock import fill_if_empty
from tests.service.asked import DEMO_STOCK
from tests.service.http.keyed import KeyedShop


class DemoShop(KeyedShop):
    """The demo shop's tables, items and counts, and a key of every role."""

    def add(self, id: str, pieces: int) -> None:
        """Fill the store at the first call: what else a keyed shop has, this one has not."""
        fill_if_empty(self.store, DEMO_STOCK)
