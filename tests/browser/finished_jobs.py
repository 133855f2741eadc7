"""Jobs of a server that have ended with plans that were made once: nothing is solved for a look at them."""

from __future__ import annotations

from service.records.jobs import JobRecords
from service.stockroom.stock_source import opened
from tests.service.page.comparing.finished import finished
from tests.service.served import OwnServer


def finished_job(server: OwnServer, of: str = "hinge-lug", *, dear: bool = False, **weldment: object) -> str:
    """Add a finished job to a server's database; the address of its screen."""
    store = opened(f"sqlite:///{server.log.parent / 'shop.sqlite3'}")
    try:
        records = JobRecords(store, "tests", 10, 24).create()
        return f"/jobs/{finished(records, of, dear, **weldment)}"
    finally:
        store.close()
