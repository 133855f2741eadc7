"""The wire shapes of counted stock and reservations: what a storekeeper or planner sends."""

from __future__ import annotations

from datetime import datetime
from typing import Annotated, Any, Literal, TypeVar

from pydantic import BeforeValidator, Field

from inventory import limits
from inventory.availability import Span
from inventory.errors import Fault
from inventory.limits import shown
from inventory.reservations import Returned
from service.documents.reading.faults import contract_error
from service.documents.reading.fields import Day, Document, Id, Name, Whole, Within, domain
from service.documents.reading.reading import Reading

Body = TypeVar("Body", bound=Document)
Pieces = Annotated[Whole, Within(limits.PIECES)]


def _moment(value: Any) -> Any:
    accepted = "a moment with its zone, such as 2027-03-01T08:00:00Z"
    try:
        found = datetime.fromisoformat(value) if isinstance(value, str) else value
    except ValueError:
        found = None
    if not isinstance(found, datetime) or found.tzinfo is None:
        raise contract_error(f"{shown(value)} is not a moment", accepted)
    return found


Moment = Annotated[datetime, BeforeValidator(_moment)]


class SignedBody(Document):
    """Who asks for a change, and why."""

    who: Annotated[Name, Field(description="person or system that signs for it")]
    why: Annotated[str, Field(description="the reason, up to 1,000 characters")] = ""


class DaysDocument(Document):
    """Calendar days, both ends included."""

    start: Annotated[Day, Field(alias="from", description="first day, YYYY-MM-DD")]
    end: Annotated[Day, Field(alias="to", description="last day, YYYY-MM-DD, not before the first")]

    def to_span(self) -> Span:
        """Return the days as a value."""
        return Span(self.start, self.end)

    def model_post_init(self, context: Any) -> None:
        """Refuse days in the wrong order."""
        domain(self.to_span)


class EntryBody(SignedBody):
    """Pieces that came, broke, were repaired or thrown away."""

    do: Annotated[Literal["receive", "break", "repair", "scrap"], Field(description="what happened to the pieces")]
    pieces: Annotated[Pieces, Field(description="how many")]


class CountBody(SignedBody):
    """What was counted, and where it lies; what is left out stays."""

    count: Annotated[Pieces | None, Field(description="pieces the shop owns, wherever they are")] = None
    out_of_service: Annotated[Pieces | None, Field(description="pieces of them that cannot be used")] = None
    bin: Annotated[Name | None, Field(description="where they lie")] = None


class OrderLineDocument(Document):
    """Pieces of one item."""

    item: Annotated[Id, Field(description="id of an item of the catalogue")]
    count: Annotated[Pieces, Field(description="pieces to be promised")]


class OrderBody(SignedBody):
    """Pieces to be promised to a job: lines, or the kit of a plan's alternative."""

    job: Annotated[Name, Field(description="what they are for")]
    needed: Annotated[DaysDocument | None, Field(description="days the pieces are held; absent = the plan's own days")] = None
    lines: Annotated[list[OrderLineDocument] | None, Field(description="pieces by item; absent = the plan's kit")] = None
    plan: Annotated[Id | None, Field(description="id of the plan the kit comes from")] = None
    rank: Annotated[Whole, Within(limits.RANK), Field(description="which of the plan's alternatives")] = 1
    state: Annotated[Literal["reserved", "proposed"], Field(description="promised at once, or only written down")] = "reserved"
    expires_at: Annotated[Moment | None, Field(description="nobody came by then: forgotten")] = None


class ReturnLineDocument(Document):
    """Pieces of one item that come back, by condition."""

    item: Annotated[Id, Field(description="an item of the reservation")]
    whole: Annotated[Pieces, Field(description="pieces fit for use")] = 0
    broken: Annotated[Pieces, Field(description="pieces that go out of service")] = 0
    missing: Annotated[Pieces, Field(description="pieces that will not come back")] = 0


class ReturnBody(SignedBody):
    """A kit, or part of it, that comes back; no lines: everything outstanding, whole."""

    lines: Annotated[list[ReturnLineDocument] | None, Field(description="what comes back")] = None


class MoveBody(SignedBody):
    """Other days for a reservation."""

    needed: Annotated[DaysDocument, Field(description="the days from now on")]


_BUDGET = limits.Limit(0, 1_000_000_000, "cents", whole=True)


class AdviceRequest(Document):
    """A past or expected request, and how often it comes."""

    request: Annotated[dict[str, Any], Field(description="a holdwright.request/1 document")]
    times: Annotated[Whole, Within(limits.Limit(1, 1_000_000, "runs", whole=True)), Field(description="how often it comes")] = 1
    name: Annotated[Name, Field(description="what the answer calls it")] = ""


class AdviceBody(Document):
    """A budget, and the jobs whose cost it is to lower."""

    budget_cents: Annotated[
        Whole, Within(limits.Limit(0, 1_000_000_000, "cents", whole=True)), Field(description="most to spend")
    ]
    requests: Annotated[
        list[AdviceRequest], Field(description="the jobs, 1 to 100", json_schema_extra={"minItems": 1, "maxItems": 100})
    ]
    time_limit_s: Annotated[float, Within(limits.Limit(1, 3600, "s")), Field(description="seconds to look")] = 20


def read_body_as(model: type[Body], raw: bytes) -> Body:
    """Return a body as a model; raises InvalidDocument with every fault."""
    reading = Reading(raw, model)
    if reading.document is not None:
        reading.add(_lines_named_twice(reading.document))
    reading.finish()
    assert reading.document is not None
    return reading.document


def pieces_of(lines: list[OrderLineDocument]) -> dict[str, int]:
    """Return the pieces of order lines by item."""
    return {line.item: line.count for line in lines}


def returned_of(lines: list[ReturnLineDocument]) -> dict[str, Returned]:
    """Return what comes back by item."""
    return {line.item: Returned(line.whole, line.broken, line.missing) for line in lines}


def _lines_named_twice(document: Document) -> list[Fault]:
    lines = getattr(document, "lines", None) or []
    return list(
        limits.repeated_faults(((f"/lines/{index}/item", line.item) for index, line in enumerate(lines)), "a line for item")
    )
