"""The use cases of quotes over HTTP: take an inquiry in, look at the quote, end it with what is known."""

from __future__ import annotations

import secrets
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from anyio.to_thread import run_sync

from inventory.errors import Fault, InvalidDocument, refuse
from inventory.stock import StockSnapshot
from inventory.store.errors import NotFound
from service.documents.quotes.inquiry import FORMAT, LARGEST_INQUIRY, Inquiry, books_named, plans_named, read_inquiry
from service.documents.reading.text import read_text
from service.documents.rule_books.known_books import BookReference, KnownBooks
from service.documents.stored_weldments.stored_version import FoundWeldments, WeldmentReference, in_full, weldments_named
from service.errors import MalformedText
from service.exchange import quote_csv
from service.planning_jobs.planning_service import PlanningService, SubmissionKey
from service.quotes.kept_quote import groups_to_keep, lines_to_keep
from service.quotes.quote_rounds import QuoteRounds
from service.records.database import now
from service.records.job import PRIORITIES, Priority
from service.records.quotes import KeptQuote, QuoteRecords
from service.records.writes import Asked
from service.rule_books.reading import also, known_books
from service.stored_weldments.lookup import weldments_found

Requests = Mapping[str, Mapping[str, Any] | None]


@dataclass(frozen=True, slots=True)
class AcceptedInquiry:
    """What is known of an inquiry that was read: itself, or what is still to be looked up, or its faults."""

    inquiry: Inquiry | None = None
    plans: frozenset[str] = frozenset()
    books: tuple[tuple[str, int], ...] = ()
    weldments: tuple[WeldmentReference, ...] = ()
    faults: tuple[Fault, ...] = ()
    malformed: bool = False


@dataclass(frozen=True, slots=True)
class QuoteService:
    """Everything quotes need, wired once."""

    planning: PlanningService
    records: QuoteRecords
    rounds: QuoteRounds

    async def submit(self, raw: bytes, csv: bool, key: SubmissionKey, *, priority: Priority = "batch") -> KeptQuote:
        """Take an inquiry in; the same one under the same key gives the quote it gave before.

        Parameters
        ----------
        csv : bool
            Whether it is a list of plans and quantities; else a document.

        Raises
        ------
        MalformedText, InvalidDocument
            With every fault.
        KeyReused, TooManyJobs, TooManyDocuments, TaskOverdue, TaskDied, Stopping
        """
        stock = await run_sync(self.planning.stock.snapshot)
        inquiry = await self._read(raw, csv, stock)
        urgency = "interactive" if inquiry.price_only else priority
        quote = KeptQuote(
            secrets.token_hex(8), inquiry.name, "running", PRIORITIES[urgency], now(), lines_to_keep(inquiry), inquiry.price_only,
            inquiry.break_even, await run_sync(groups_to_keep, inquiry, stock.version), asked_by=key.asked_by,
        )  # fmt: skip
        saved = await run_sync(self.records.add, quote, key.key, key.fingerprint, key.asked)
        self.rounds.wake()
        return saved

    def quote(self, id: str) -> KeptQuote:
        """Return a quote; raises NotFound."""
        found = self.records.get(id)
        if found is None:
            raise NotFound("quote", repr(id)[:180])
        return found

    def cancel(self, id: str, asked: Asked | None = None) -> KeptQuote:
        """End a quote with the prices that are known; plans under way for it stop; raises NotFound."""
        before = self.quote(id)
        found = self.records.cancel(id, asked)
        if before.open:
            planning = self.planning
            for job in [job for group in before.groups for job in (group.under_way or {}).values()]:
                planning.records.ask_cancel(job)
                planning.runner.cancel(job)
                planning.news.changed(job)
            planning.news.changed(id)
        return found or before

    async def _read(self, raw: bytes, csv: bool, stock: StockSnapshot) -> Inquiry:
        planning, database = self.planning, self.records.database
        books, requests = await run_sync(known_books, database), dict[str, Mapping[str, Any] | None]()
        task = (csv, stock, planning.settings.time_limit)
        weldments: FoundWeldments | None = None
        for _ in range(4):  # plans first, then the books of their requests; what is looked up is never asked for twice
            found = await planning.side_tasks.read_by(accept_inquiry, len(raw), raw, *task, requests, books, weldments)
            if not found.plans and not found.books and not found.weldments:
                break
            if weldments is None:
                weldments = await run_sync(weldments_found, database, found.weldments)
            requests |= {id: await run_sync(self._request_of, id) for id in found.plans}
            books = await run_sync(also, database, books, found.books)
        if found.malformed:
            raise MalformedText(found.faults)
        refuse(found.faults)
        assert found.inquiry is not None
        return found.inquiry

    def _request_of(self, id: str) -> Mapping[str, Any] | None:
        text = self.planning.records.request_of(id)
        values = None if text is None else read_text(text.encode(), LARGEST_INQUIRY).values
        return values if isinstance(values, dict) else None


def accept_inquiry(
    raw: bytes,
    csv: bool,
    stock: StockSnapshot,
    longest_s: float,
    requests: Requests,
    books: KnownBooks,
    weldments: FoundWeldments | None = None,
) -> AcceptedInquiry:
    """Read an inquiry; what it names and is not among those that were found is to be looked up, then it is read again."""
    rows: list[int] = []
    try:
        if csv:
            values: Any = _of_rows(quote_csv.read(raw), rows)
        else:
            text = read_text(raw, LARGEST_INQUIRY)
            values = raw if text.faults else text.values
            named = text.values
    except InvalidDocument as bad:
        return AcceptedInquiry(faults=bad.faults, malformed=not csv)
    named = values if csv else named
    plans = plans_named(named) - set(requests)
    references: list[BookReference] = books_named(named, [each for each in requests.values() if each is not None])
    missing = books.not_found_yet(references)
    named_weldments = weldments_named(named) if weldments is None else []
    if plans or missing or named_weldments:
        return AcceptedInquiry(plans=frozenset(plans), books=tuple(missing), weldments=tuple(named_weldments))
    values = in_full(values, weldments or {})
    try:
        return AcceptedInquiry(read_inquiry(values, stock, requests.get, longest_s, books))
    except InvalidDocument as bad:
        return AcceptedInquiry(faults=tuple(_by_row(fault, rows) for fault in bad.faults) if csv else bad.faults)


def _of_rows(asked: tuple[quote_csv.AskedRow, ...], rows: list[int]) -> dict[str, Any]:
    rows += (each.row for each in asked)
    lines = [
        {"plan": each.weldment[:64], "quantity": each.quantity, "name": each.name, "customer": each.customer} for each in asked
    ]
    return {"format": FORMAT, "lines": lines}


def _by_row(fault: Fault, rows: list[int]) -> Fault:
    """Return a fault of a line as one of the row it came from."""
    steps = fault.pointer.split("/")
    if steps[1:2] != ["lines"] or len(steps) < 3:
        return fault
    column = "weldment" if steps[3:4] == ["plan"] else "/".join(steps[3:])
    return Fault(f"/rows/{rows[int(steps[2])]}/{column}".rstrip("/"), fault.wrong, fault.accepted)
