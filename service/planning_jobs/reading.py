"""Requests read for the service: here if they are small, in a process beside the server if they are not."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from inventory.errors import Fault, InvalidDocument
from inventory.stock import StockSnapshot
from service.documents import read_request
from service.documents.reading.text import LARGEST_BODY, read_text
from service.documents.rule_books.known_books import BUILT_IN, Books, KnownBooks, references_in
from service.documents.rules import settled_rules
from service.documents.stockroom.advice import AdviceBody, read_advice
from service.documents.stored_weldments.stored_version import FoundWeldments, WeldmentReference, in_full, weldments_named
from service.documents.week.question import LARGEST_WEEK, read_week
from service.stockroom.advice import expected_jobs, tasks_of
from service.stockroom.kits import PlannedKit
from service.stockroom.stock_source import DaysStock
from service.stockroom.weeks import seconds_of, week_faults
from solver.request import Request
from solver.weldment import StoredVersion


@dataclass(frozen=True, slots=True)
class ReadRequest:
    """A request and what is odd about it, or its faults."""

    request: Request | None
    warnings: tuple[str, ...] = ()
    faults: tuple[Fault, ...] = ()


@dataclass(frozen=True, slots=True)
class KeptReference:
    """The alternative that a request keeps, named by plan and rank as they came."""

    plan: Any
    rank: Any


@dataclass(frozen=True, slots=True)
class Accepted:
    """What is known of a document that was read: its text as it is kept, or what is still wanted, or its faults.

    Parameters
    ----------
    text, name, seconds, warnings
        The document as compact JSON, the weldment's name, the time it may take (s), what is odd about it.
    keeps : KeptReference or None
        The alternative it names is to be put in its place, then it is read again.
    books : tuple
        Rule books, by name and version, that are to be looked up, then it is read again.
    weldments : tuple of WeldmentReference
        Stored weldments that it names, to be looked up, then it is read again.
    stored : StoredVersion or None
        The stored weldment it is for.
    malformed : bool
        The faults are of a text that is no JSON.
    """

    text: str = ""
    name: str = ""
    seconds: float = 0.0
    warnings: tuple[str, ...] = ()
    keeps: KeptReference | None = None
    books: tuple[tuple[str, int], ...] = ()
    weldments: tuple[WeldmentReference, ...] = ()
    stored: StoredVersion | None = None
    faults: tuple[Fault, ...] = ()
    malformed: bool = False

    @property
    def waits(self) -> bool:
        """Whether something is to be looked up before it can be read."""
        return self.keeps is not None or bool(self.books or self.weldments)


def read_aside(document: Any, stock: StockSnapshot, books: Books = BUILT_IN) -> ReadRequest:
    """Read a request; faults are returned, since an exception with values of its own does not travel between processes."""
    try:
        request, warnings = read_request(document, stock, books)
    except InvalidDocument as bad:
        return ReadRequest(None, faults=bad.faults)
    return ReadRequest(request, tuple(str(warning) for warning in warnings))


def accept_request(
    document: Any,
    stock: StockSnapshot,
    books: KnownBooks,
    kept: Mapping[str, Any] | None = None,
    weldments: FoundWeldments | None = None,
) -> Accepted:
    """Read a request that is to be planned; its text has the rule book it starts from in full.

    Parameters
    ----------
    document : bytes or dict
        As it came over the wire, or plain values.
    kept : dict or None
        What stands in the place of a `keep` that names an alternative by plan and rank.
    weldments : mapping or None
        Stored weldments that were looked up; None: none were yet.
    """
    try:
        text = read_text(document, len(document)) if isinstance(document, bytes) else None
    except InvalidDocument as bad:
        return Accepted(faults=bad.faults, malformed=True)
    # Text with faults is read as it came, so that they are named beside all others.
    values = document if text is None else document if text.faults else text.values
    wanted = books.not_found_yet(references_in([values if text is None else text.values]))
    named = weldments_named(values if text is None else text.values) if weldments is None else []
    keeps = _reference(values)
    if wanted or named or (keeps is not None and kept is None):
        return Accepted(keeps=keeps, books=tuple(wanted), weldments=tuple(named))
    values = in_full(values, weldments or {})
    if keeps is not None and kept is not None:
        values = {**values, "keep": dict(kept)}
    found = read_aside(values, stock, books)
    if found.request is None:
        return Accepted(faults=found.faults)
    request = found.request
    name, stored = request.weldment.name, request.weldment.stored
    return Accepted(_as_text(_settled(values, books)), name, request.time_limit_s, found.warnings, stored=stored)


def accept_advice(raw: bytes, stock: StockSnapshot, books: KnownBooks, weldments: FoundWeldments | None = None) -> Accepted:
    """Read a question for advice, with all its requests; its text has what they name in full: rule books, stored weldments."""
    named = _weldments_named(raw, LARGEST_BODY) if weldments is None else ()
    if named:
        return Accepted(weldments=named)
    try:
        body: AdviceBody = read_advice(_with_weldments(raw, LARGEST_BODY, weldments))
    except InvalidDocument as bad:
        return Accepted(faults=bad.faults)
    wanted = books.not_found_yet(references_in(each.request for each in body.requests))
    if wanted:
        return Accepted(books=tuple(wanted))
    try:
        tasks_of(expected_jobs(body), DaysStock({}, stock), books=books)
    except InvalidDocument as bad:
        return Accepted(faults=bad.faults, seconds=body.time_limit_s)
    name = "1 job" if len(body.requests) == 1 else f"{len(body.requests)} jobs"
    document = body.model_dump(mode="json")
    document["requests"] = [{**each, "request": _settled(each["request"], books)} for each in document["requests"]]
    return Accepted(_as_text(document), name, body.time_limit_s)


def _settled(request: dict[str, Any], books: KnownBooks) -> dict[str, Any]:
    rules = settled_rules(request.get("rules"), books)
    return request if rules is None else {**request, "rules": rules}


def accept_week(
    raw: bytes,
    stock: StockSnapshot,
    kits: Mapping[str, PlannedKit],
    books: KnownBooks,
    weldments: FoundWeldments | None = None,
) -> Accepted:
    """Read the question of a week, with all its requests and the plans it names; its text has what requests name in full."""
    named = _weldments_named(raw, LARGEST_WEEK) if weldments is None else ()
    if named:
        return Accepted(weldments=named)
    try:
        question = read_week(_with_weldments(raw, LARGEST_WEEK, weldments), set(stock.tables))
    except InvalidDocument as bad:
        return Accepted(faults=bad.faults)
    wanted = books.not_found_yet(references_in(job.request for job in question.jobs if job.request is not None))
    if wanted:
        return Accepted(books=tuple(wanted))
    faults, seconds = tuple(week_faults(question, stock, kits.get, books)), seconds_of(question)
    if faults:
        return Accepted(faults=faults, seconds=seconds)
    name = "a week of 1 job" if len(question.jobs) == 1 else f"a week of {len(question.jobs)} jobs"
    document = question.model_dump(mode="json")
    document["jobs"] = [
        job if job.get("request") is None else {**job, "request": _settled(job["request"], books)} for job in document["jobs"]
    ]
    return Accepted(_as_text(document), name, seconds)


def _weldments_named(raw: bytes, largest: int) -> tuple[WeldmentReference, ...]:
    """Return the stored weldments a document names; none of one that is no JSON, whose fault is told where it is read."""
    try:
        return tuple(weldments_named(read_text(raw, largest).values))
    except InvalidDocument:
        return ()


def _with_weldments(raw: bytes, largest: int, found: FoundWeldments | None) -> Any:
    """Return a document with the stored weldments that were found in full, as it came if none were or its text has faults."""
    text = read_text(raw, largest) if found else None
    return raw if text is None or text.faults else in_full(text.values, found or {})


def _reference(values: Any) -> KeptReference | None:
    keep = values.get("keep") if isinstance(values, dict) else None
    if not isinstance(keep, dict) or not set(keep) <= {"plan", "rank"}:
        return None
    return KeptReference(keep.get("plan"), keep.get("rank"))


def _as_text(document: Any) -> str:
    return json.dumps(document, ensure_ascii=False, allow_nan=False, separators=(",", ":"))
