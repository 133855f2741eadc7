"""The jobs that are timed and the shop they are planned in: the demo's tables with two shelves, as frames take more than one has."""

from __future__ import annotations

import json
from pathlib import Path

from inventory.stock import StockSnapshot
from service.demo import job_document, stock_document
from service.documents import read_request, read_stock
from solver.request import Request

FOLDER = Path(__file__).parent / "jobs"
"""Frames of 8 and 20 parts; all other jobs are the demo's."""


def document_of(name: str) -> bytes:
    """Return the request document of a job."""
    own = FOLDER / f"{name}.json"
    return own.read_bytes() if own.exists() else job_document(name)


def request_of(name: str) -> Request:
    """Return a job's request."""
    return read_request(document_of(name), SHOP)[0]


def shop_document() -> bytes:
    """Return the demo shop's stock file with twice as many of every piece."""
    shop = json.loads(stock_document())
    for line in shop["stock"]:
        line["count"] *= 2
    return json.dumps(shop).encode()


SHOP: StockSnapshot = read_stock(shop_document())
