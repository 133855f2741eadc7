"""What commands work on: the store they name, a request and the stock of its days.

What speaks SQL is imported when a store is named: a plan on a stock file does without.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager, nullcontext
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

from inventory.errors import Fault, InvalidDocument
from inventory.stock import StockSnapshot
from service.command_line.exit_code import read_from
from service.command_line.printing.console import read_input
from service.documents import read_request
from service.documents.reading.text import read_text
from service.documents.rule_books.known_books import BUILT_IN, Books, as_planned, references_in
from service.documents.stored_weldments.stored_version import in_full, weldment_as_planned, weldments_named
from service.errors import InvalidSource
from service.files import LARGEST_FILE
from service.settings import Settings
from service.stockroom.stock_source import StockSource, StoreStock, chosen_stock, opened
from solver.plans import Alternative
from solver.request import Request

if TYPE_CHECKING:
    from inventory.store import Store


@contextmanager
def the_store(url: str | None, create: bool = False) -> Iterator[Store]:
    """Open the store a command line names (or HOLDWRIGHT_DB, or the default); `create`: a missing file is made."""
    store = opened(Settings.read(db=url).db if create else existing_store(url))
    try:
        yield store
    finally:
        store.close()


def existing_store(url: str | None) -> str:
    """Return the URL of the store a command line names; raises Unreachable if its file is missing: looking must not make one."""
    from inventory.store.engine import file_of
    from inventory.store.errors import Unreachable

    chosen = Settings.read(db=url).db
    path = file_of(chosen)
    if path is not None and not path.exists():
        named = "" if url is None else f" --db {_shown(url)}"
        raise Unreachable(f"there is no store {path}; `holdwright stock import STOCK.json{named}` makes one")
    return chosen


def read_question(
    raw: bytes | dict[str, Any], name: object, stock: Path | None, db: str | None, answered: bytes | None = None
) -> tuple[Request, StockSnapshot, tuple[str, ...]]:
    """Return a request, what is free on its days, and what is odd but harmless.

    Parameters
    ----------
    raw : bytes or dict
        The request document.
    name : object
        The name under which faults of the request are printed.
    stock, db : Path, str
        The stock file or the store's URL, one of the two.
    answered : bytes, optional
        A plan made for it, with whose rule book it is read where it names none itself.

    Raises
    ------
    InvalidSource
        The request, the stock file or the store.
    """
    with read_from("--stock" if db is None else _shown(db)):
        source = chosen_stock(stock, None if db is None else existing_store(db))
    with read_from(source):
        shelf = source.snapshot()
    with read_from(name):
        asked = raw if answered is None else _as_planned(raw, answered)
        with read_from(source) if isinstance(source, StoreStock) else nullcontext():
            books = _books(source, asked)
        asked = request_in_full(source, asked)
        request, warnings = read_request(asked, shelf, books, partial(_kept, source))
    with read_from(source):
        free = source.snapshot(request.needed) if request.needed else shelf
    return request, free, tuple(str(warning) for warning in warnings)


def tables_of(stock: Path | None, db: str | None) -> list[str]:
    """Return the ids of the tables of a stock file or a store; raises InvalidSource."""
    with read_from("--stock" if db is None else _shown(db)):
        source = chosen_stock(stock, None if db is None else existing_store(db))
    with read_from(source):
        return sorted(source.snapshot().tables)


def read_pair(request: Path, plan: Path, usage: str) -> tuple[bytes, bytes]:
    """Return the bytes of a request file and of its plan file.

    Every field of a plan would be at fault as a request: files in the wrong order are named, with what was to be given (`usage`).

    Raises
    ------
    InvalidSource
        A file cannot be read, or the two are swapped.
    """
    with read_from(request):
        asked = read_input(request)
    with read_from(plan):
        answered = read_input(plan)
    if (_kind(asked), _kind(answered)) == ("plan", "request"):
        raise InvalidSource(request, [Fault("", "the first file is a plan, the second a request: swap them", usage)])
    return asked, answered


def _kind(raw: bytes) -> str | None:
    """Return what a document says it is; None where it cannot be read or does not say."""
    try:
        values = read_text(raw, LARGEST_FILE).values
    except InvalidDocument:
        return None
    named = values.get("format") if isinstance(values, dict) else None
    return named.removeprefix("holdwright.").removesuffix("/1") if isinstance(named, str) else None


def _shown(url: str) -> str:
    from inventory.store import shown_url

    return shown_url(url)


def _as_planned(raw: bytes | dict[str, Any], answered: bytes) -> bytes | dict[str, Any]:
    """Return a request as its plan was made for it; as it came if one of the two cannot be read, which is said elsewhere."""
    try:
        asked, plan = _values(raw), _values(answered)
    except InvalidDocument:
        return raw
    if not isinstance(asked, dict) or not isinstance(plan, dict):
        return raw
    made: dict[str, Any] = weldment_as_planned(as_planned(asked, plan), plan)
    return made


def _books(source: StockSource, raw: bytes | dict[str, Any]) -> Books:
    """Return the rule books a request may start from."""
    try:
        return books_for(source, [_values(raw)])
    except InvalidDocument:
        return books_for(source, [])


def request_in_full(source: StockSource, raw: bytes | dict[str, Any]) -> bytes | dict[str, Any]:
    """Return a request with the stored weldments it names in full; as it came if it names none or cannot be read."""
    try:
        values = _values(raw)
    except InvalidDocument:
        return raw
    return with_weldments(source, values) if isinstance(values, dict) and weldments_named(values) else raw


def with_weldments(source: StockSource, values: Any) -> Any:
    """Return a document with the stored weldments it names in full, looked up in a store; as it is where there is none.

    Raises
    ------
    InvalidDocument
        A weldment is not there, or is not what the document says.
    """
    named = weldments_named(values)
    if not named or not isinstance(source, StoreStock):
        return values
    from service.records.keys import KeyRecords
    from service.stored_weldments.lookup import weldments_found

    return in_full(values, weldments_found(KeyRecords(source.store).create().database, named))


def books_for(source: StockSource, requests: Sequence[Any]) -> Books:
    """Return the rule books some requests may start from: those of a store, or the built-in numbers where there is none."""
    if not isinstance(source, StoreStock):
        return BUILT_IN
    from service.records.keys import KeyRecords
    from service.rule_books.reading import known_books

    return known_books(KeyRecords(source.store).create().database, references_in(requests))


def _values(raw: bytes | dict[str, Any]) -> Any:
    """Return a document as plain values; raises InvalidDocument if it is no JSON at all."""
    if isinstance(raw, dict):
        return raw
    return read_text(raw, LARGEST_FILE).values


def _kept(source: StockSource, plan: str, rank: int) -> Alternative | None:
    if not isinstance(source, StoreStock):
        accepted = "an alternative in full, or --db with the plan's store"
        raise InvalidDocument([Fault("/keep", "a stock file keeps no plans", accepted)])
    from service.planning_jobs.kept_alternatives import named_alternative
    from service.records.jobs import JobRecords

    return named_alternative(JobRecords(source.store, "", 1, 1).create(), plan, rank)
