"""What the command line plans and checks with: a request and the stock of its days, read from files or a store."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from inventory.errors import Fault, HoldwrightError, InvalidDocument
from service.stockroom.stock_source import StockSource, StoreStock, chosen_stock

if TYPE_CHECKING:
    from inventory.stock import StockSnapshot
    from service.planning_jobs.records import JobRecords
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
        request, warnings = read_request(raw, shelf)
        if request.keep is not None and "placements" not in request.keep:
            request = replace(request, keep=_kept(request.keep, source))
        reading = source
        return request, source.snapshot(request.needed), tuple(str(warning) for warning in warnings)
    except HoldwrightError as error:
        raise Unusable(reading, error) from None


def _kept(keep: Mapping[str, Any], source: StockSource) -> Mapping[str, Any]:
    if not isinstance(source, StoreStock):
        raise InvalidDocument(
            [Fault("/keep", "a stock file keeps no plans", "an alternative in full, or --db with the plan's store")]
        )
    from service.planning_jobs.records import JobRecords

    found = named_alternative(JobRecords(source.store, "", 1, 1).create(), keep)
    if found is None:
        raise InvalidDocument([no_such_alternative(keep)])
    return found


def named_alternative(records: JobRecords, keep: Mapping[str, Any]) -> dict[str, Any] | None:
    """Return the alternative a `keep` names by plan and rank, None if there is no such one."""
    id, rank = keep.get("plan"), keep.get("rank")
    job = records.get(id) if isinstance(id, str) else None
    if job is None or job.plan is None or isinstance(rank, bool):
        return None
    return next((one for one in job.plan["alternatives"] if one["rank"] == rank), None)


def no_such_alternative(keep: Mapping[str, Any]) -> Fault:
    """Return the fault of a `keep` that names nothing."""
    named = f"plan {keep.get('plan')!r}, rank {keep.get('rank')!r}"[:150]
    return Fault(
        "/keep",
        f"there is no alternative {named}",
        "a finished plan of this store and one of its ranks, or an alternative in full",
    )
