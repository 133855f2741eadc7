"""What a quote is asked for with: requests, and lines that each want one of them at a quantity."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Annotated, Any, Literal

from pydantic import ConfigDict, Discriminator, Field, Tag

from inventory import limits
from inventory.errors import Fault, InvalidDocument
from inventory.limits import escaped, shown, suggestion
from inventory.stock import StockSnapshot
from service.documents.answers.answer import Kept
from service.documents.reading.fields import Document, Id, Name, UpTo, Whole, Within
from service.documents.reading.reading import Reading
from service.documents.request import EXAMPLE as REQUEST
from service.documents.request import RequestDocument, read_request
from service.documents.rule_books.known_books import BUILT_IN, BookReference, Books, references_in
from service.documents.rules import settled_rules
from solver.quotes import PriceBasis
from solver.request import Request

FORMAT = "holdwright.inquiry/1"
LARGEST_INQUIRY = 20_000_000
"""Most bytes of an inquiry."""
MOST_LINES, MOST_REQUESTS = 10_000, 1_000
PRICE_ONLY_S = 1.0
"""Seconds a request is worked on where only a price is wanted at once."""
EXAMPLE: dict[str, Any] = {
    "format": FORMAT, "name": "spring offers", "requests": {"post": REQUEST},
    "lines": [
        {"request": "post", "quantity": 40, "name": "hinge post, primed", "customer": "K-104"},
        {"request": "post", "quantity": 300},
    ],
    "price_only": False, "break_even": True,
}  # fmt: skip


def _named_or_whole(value: Any) -> str:
    return "none" if value is None else "whole" if isinstance(value, dict) else "name"


class AskedLineDocument(Document):
    """One price that is wanted: of a request, or of a finished plan's request, at a quantity."""

    request: Annotated[
        Annotated[Id, Tag("name")]
        | Annotated[dict[str, Any], Kept(RequestDocument), Tag("whole")]
        | Annotated[None, Tag("none")],
        Discriminator(_named_or_whole),
        Field(description="a name in `requests`, or a request document; its own quantity does not count"),
    ] = None
    plan: Annotated[Id | None, Field(description="id of a plan whose request is wanted, in the place of `request`")] = None
    quantity: Annotated[Whole, Within(limits.QUANTITY), Field(description="how many weldments, 1 to 10,000,000")]
    name: Annotated[Name, Field(description="what the line is called")] = ""
    customer: Annotated[Name, Field(description="whom it is for")] = ""


class InquiryDocument(Document):
    """Prices that are wanted, line by line."""

    model_config = ConfigDict(json_schema_extra={"examples": [EXAMPLE]})

    format: Annotated[Literal["holdwright.inquiry/1"], Field(description=f'"{FORMAT}"')]
    name: Annotated[Name, Field(description="what the quote is called")] = ""
    requests: Annotated[
        dict[str, dict[str, Any]],
        UpTo(MOST_REQUESTS),
        Field(default_factory=dict, description="holdwright.request/1 documents by names of their own"),
    ]
    lines: Annotated[list[AskedLineDocument], UpTo(MOST_LINES, 1), Field(description=f"1 to {MOST_LINES:,} lines")]
    price_only: Annotated[
        bool, Field(description="prices at once, from what a second of work on each request shows, with the gap that is left")
    ] = False
    break_even: Annotated[bool, Field(description="also where marking out by hand and a dedicated fixture cross")] = True


@dataclass(frozen=True, slots=True)
class AskedLine:
    """One line: its place from 1, what it is called, whose request it wants (by name, or a plan's id), how many."""

    number: int
    name: str
    customer: str
    request: str
    quantity: int
    group: int


@dataclass(frozen=True, slots=True)
class AskedGroup:
    """A request that lines want at one or several quantities.

    Parameters
    ----------
    text : str
        The request document as it is planned, JSON, at quantity 1.
    weldment : str
        The weldment's name.
    basis : PriceBasis
    warnings : tuple of str
        What is odd about it.
    """

    text: str
    weldment: str
    basis: PriceBasis
    warnings: tuple[str, ...] = ()

    def at(self, quantity: int) -> dict[str, Any]:
        """Return the request document at a quantity."""
        return {**json.loads(self.text), "quantity": quantity}


@dataclass(frozen=True, slots=True)
class Inquiry:
    """What is wanted; `groups` are the different requests among the lines."""

    name: str
    lines: tuple[AskedLine, ...]
    groups: tuple[AskedGroup, ...]
    price_only: bool = False
    break_even: bool = True

    def quantities(self, group: int) -> tuple[int, ...]:
        """Return the quantities a request is wanted at, each once, in order."""
        return tuple(sorted({line.quantity for line in self.lines if line.group == group}))


FindRequest = Callable[[str], Mapping[str, Any] | None]
"""Returns the request document of a plan by its id, None if there is no such plan."""


def read_inquiry(
    raw: bytes | dict[str, Any], stock: StockSnapshot, find_request: FindRequest, longest_s: float, books: Books = BUILT_IN
) -> Inquiry:  # fmt: skip
    """Read what is asked for; every request is read as one that is to be planned, with its rule book in full.

    Parameters
    ----------
    raw : bytes or dict
        The document, up to 20 MB.
    find_request : callable
        Looks up the request of a plan that a line names.
    longest_s : float
        Longest time limit a request may have, s.
    books : Books
        Rule books that requests may start from.

    Raises
    ------
    InvalidDocument
        With every fault of the whole document and of every request in it.
    """
    reading = Reading(raw, InquiryDocument, LARGEST_INQUIRY)
    if reading.document is None:
        reading.finish()
    assert reading.document is not None
    wanted = _Requests(reading, reading.document, stock, find_request, longest_s, books)
    lines = [wanted.line(number, line) for number, line in enumerate(reading.document.lines, 1)]
    reading.add(wanted.unused())
    if not 1 <= len(lines) <= MOST_LINES:
        reading.add([Fault("/lines", f"{len(lines):,} lines", f"1 to {MOST_LINES:,}")])
    if len(wanted.groups) > MOST_REQUESTS:
        reading.add([Fault("/lines", f"{len(wanted.groups):,} different requests", f"at most {MOST_REQUESTS:,}")])
    reading.finish()
    return Inquiry(
        reading.document.name,
        tuple(line for line in lines if line is not None),
        tuple(wanted.groups.values()),
        reading.document.price_only,
        reading.document.break_even,
    )


def plans_named(values: Any) -> set[str]:
    """Return the ids of the plans that an inquiry's lines name, whatever else is at fault in it."""
    return {each for line in _lines(values) if isinstance(each := line.get("plan"), str) and len(each) <= limits.ID_LENGTH}


def books_named(values: Any, of_plans: Iterable[Any]) -> list[BookReference]:
    """Return the rule books that the requests of an inquiry name, and those of the plans it names."""
    named = values.get("requests") if isinstance(values, dict) else None
    whole = [*(named.values() if isinstance(named, dict) else ()), *(line.get("request") for line in _lines(values)), *of_plans]
    return references_in(whole)


def _lines(values: Any) -> list[dict[str, Any]]:
    lines = values.get("lines") if isinstance(values, dict) else None
    return [line for line in lines if isinstance(line, dict)] if isinstance(lines, list) else []


class _Requests:
    """The requests of an inquiry, each read once, equal ones together."""

    def __init__(
        self, reading: Reading[InquiryDocument], asked: InquiryDocument, stock: StockSnapshot, find: FindRequest,
        longest_s: float, books: Books,
    ) -> None:  # fmt: skip
        self._reading, self._asked, self._stock, self._find = reading, asked, stock, find
        self._longest_s, self._books = longest_s, books
        self.groups: dict[str, AskedGroup] = {}
        self._places_of_groups: dict[str, int] = {}
        self._read_before: dict[str, int] = {}
        self._places: dict[str, int | None] = {}
        self._used: set[str] = set()

    def line(self, number: int, line: AskedLineDocument) -> AskedLine | None:
        """Return a line with its request's place among the groups, None if it has none that is sound."""
        at = f"/lines/{number - 1}"
        if (line.request is None) == (line.plan is None):
            wrong = "neither request nor plan" if line.request is None else "both request and plan"
            self._reading.add([Fault(at, wrong, "`request` or `plan`, one of the two")])
            return None
        if line.plan is not None:
            name, place = line.plan, self._of_plan(line.plan, at)
        elif isinstance(line.request, str):
            name, place = line.request, self._named(line.request, at)
        else:
            name, place = "", self._read(line.request or {}, f"{at}/request")
        return None if place is None else AskedLine(number, line.name, line.customer, name, line.quantity, place)

    def unused(self) -> Iterator[Fault]:
        """Yield the requests that no line wants: a slip, and they may be at fault unseen."""
        for name in self._asked.requests:
            if name not in self._used:
                yield Fault(f"/requests/{escaped(name)}", "no line wants it", "a line for each request")

    def _named(self, name: str, at: str) -> int | None:
        self._used.add(name)
        found = self._asked.requests.get(name)
        if found is None:
            known = suggestion(name, self._asked.requests, "a name in `requests`")
            self._reading.add([Fault(f"{at}/request", f"there is no request {shown(name)}", known)])
            return None
        return self._once(f"request {name}", lambda: self._read(found, f"/requests/{escaped(name)}"))

    def _of_plan(self, id: str, at: str) -> int | None:
        def found() -> int | None:
            document = self._find(id)
            if document is None:
                self._reading.add([Fault(f"{at}/plan", f"there is no plan {shown(id)}", "the id of a plan that is kept")])
                return None
            # What a re-plan kept, and what was proved of it, is about the quantity it was made for.
            return self._read({name: value for name, value in document.items() if name not in _OF_ONE_PLAN}, f"{at}/plan")

        return self._once(f"plan {id}", found)

    def _once(self, key: str, place: Callable[[], int | None]) -> int | None:
        if key not in self._places:
            self._places[key] = place()
        return self._places[key]

    def _read(self, document: Mapping[str, Any], at: str) -> int | None:
        whole = {"alternatives": 1, **document, "quantity": 1}
        if self._asked.price_only:
            limit = whole.get("time_limit_s")
            if not isinstance(limit, int | float) or isinstance(limit, bool) or limit > PRICE_ONLY_S:
                whole["time_limit_s"] = PRICE_ONLY_S
        as_given = _text(whole)
        if as_given in self._read_before:
            return self._read_before[as_given]
        try:
            request, warnings = read_request(whole, self._stock, self._books)
        except InvalidDocument as bad:
            self._reading.add([fault.under(at) for fault in bad.faults])
            return None
        if faults := [*_faults(document, request, self._longest_s)]:
            self._reading.add([fault.under(at) for fault in faults])
            return None
        rules = settled_rules(whole.get("rules"), self._books)
        text = _text(whole if rules is None else {**whole, "rules": rules})
        if text not in self.groups:
            self._places_of_groups[text] = len(self.groups)
            self.groups[text] = AskedGroup(text, request.weldment.name, PriceBasis.of(request), tuple(map(str, warnings)))
        self._read_before[as_given] = self._places_of_groups[text]
        return self._read_before[as_given]


_OF_ONE_PLAN = ("keep", "proved")


def _text(document: Mapping[str, Any]) -> str:
    return json.dumps(document, ensure_ascii=False, sort_keys=True, separators=(",", ":"))


def _faults(document: Mapping[str, Any], request: Request, longest_s: float) -> Iterator[Fault]:
    for name in _OF_ONE_PLAN:
        if document.get(name) is not None:
            yield Fault(f"/{name}", "is about one plan at one quantity", "null, or leave it out")
    if request.variants:
        yield Fault(
            "/variants", "other sizes have quantities of their own, which no line says", "no variants; a line for each size"
        )
    if request.time_limit_s > longest_s:
        yield Fault("/time_limit_s", f"{request.time_limit_s:g} s is longer than is solved here", f"at most {longest_s:g} s")
