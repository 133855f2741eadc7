"""What the command line plans and checks with: a request and the stock of its days, read from files or a store."""

from __future__ import annotations

from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

from inventory.errors import Fault, HoldwrightError, InvalidDocument
from service.stockroom.stock_source import StockSource, StoreStock, chosen_stock

if TYPE_CHECKING:
    from inventory.stock import StockSnapshot
    from service.planning_jobs.records import JobRecords
    from solver.plans import Alternative
    from solver.request import Request


class Unusable(Exception):
    """Something read cannot be used: what it was, and everything wrong with it."""

    def __init__(self, source: object, error: HoldwrightError) -> None:
        self.source = str(source)
        plain = Fault("", str(error), "a store that can be read")
        self.faults: tuple[Fault, ...] = error.faults if isinstance(error, InvalidDocument) else (plain,)
        super().__init__(str(error))


def read_question(raw: bytes, name: object, stock: Path | None, db: str | None) -> tuple[Request, StockSnapshot, tuple[str, ...]]:
    """Return a request, what is free on its days, and what is odd but harmless.

    Parameters
    ----------
    raw : bytes
        The request document.
    name : object
        What faults of the request are told under.
    stock, db : Path, str
        The stock file or the store's URL, one of the two.

    Raises
    ------
    Unusable
        The request, the stock file or the store.
    """
    from service.documents import read_request

    reading: object = "--stock" if db is None else db
    try:
        source = chosen_stock(stock, db)
        reading = source
        shelf = source.snapshot()
        reading = name
        request, warnings = read_request(raw, shelf, find_alternative=partial(_kept, source))
        reading = source
        return request, source.snapshot(request.needed), tuple(str(warning) for warning in warnings)
    except HoldwrightError as error:
        raise Unusable(reading, error) from None


def _kept(source: StockSource, plan: str, rank: int) -> Alternative | None:
    if not isinstance(source, StoreStock):
        raise InvalidDocument(
            [Fault("/keep", "a stock file keeps no plans", "an alternative in full, or --db with the plan's store")]
        )
    from service.planning_jobs.records import JobRecords

    return named_alternative(JobRecords(source.store, "", 1, 1).create(), plan, rank)


def named_alternative(records: JobRecords, plan: Any, rank: Any) -> Alternative | None:
    """Return the alternative of this rank of a finished plan, None if there is no such one."""
    from service.documents import read_plan

    job = records.get(plan) if isinstance(plan, str) else None
    if job is None or job.plan is None or isinstance(rank, bool):
        return None
    return read_plan(dict(job.plan)).alternative(rank)
