"""Request documents and a shop's stock for tests of the doors."""

from __future__ import annotations

import copy
import json
from typing import Any

from inventory.stock import StockByDay, StockSnapshot
from service.demo import MAIN_JOB, job_document, stock_document
from service.documents import read_stock
from service.stockroom.stock_source import days_of

DEMO_STOCK = read_stock(stock_document())
_MAIN = json.loads(job_document(MAIN_JOB))


def asked(name: str = "plain", **changes: Any) -> dict[str, Any]:
    """Return the main demo job's request, its weldment under another name, with members replaced."""
    document: dict[str, Any] = copy.deepcopy(_MAIN)
    document["weldment"]["name"] = name
    return {**document, **changes}


class FixedStock:
    """A stock source that is whatever a test says; remembers the spans it was asked for."""

    def __init__(self, now: StockSnapshot = DEMO_STOCK) -> None:
        self.now = now
        self.spans: list[Any] = []

    def snapshot(self, span: Any = None) -> StockSnapshot:
        """Return the stock as it is now."""
        self.spans.append(span)
        return self.now

    def by_day(self, span: Any) -> StockByDay:
        """Return the stock as it is now, for each day."""
        return StockByDay.alike(self.snapshot(span), days_of(span))

    def held_by(self, plan: str, span: Any = None) -> None:
        """Return None: nothing is reserved for a plan here."""
