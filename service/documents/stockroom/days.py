"""Days and moments on the wire."""

from __future__ import annotations

from datetime import date, datetime
from typing import Annotated, Any

from pydantic import BeforeValidator, Field

from inventory.availability import Span, asked_span
from inventory.limits import moment_faults, shown
from service.documents.answers.answer import Answer
from service.documents.reading.faults import contract_error
from service.documents.reading.fields import Day, Document, checked, domain


def _moment(value: Any) -> Any:
    accepted = "a moment with its zone, such as 2027-03-01T08:00:00Z"
    try:
        found = datetime.fromisoformat(value) if isinstance(value, str) else value
    except ValueError:
        found = None
    if not isinstance(found, datetime) or found.tzinfo is None:
        raise contract_error(f"{shown(value)} is not a moment", accepted)
    checked(moment_faults("", found))
    return found


# Zones reach a day into the neighbouring years.
_IN_THE_CALENDAR = Field(json_schema_extra={"pattern": "^(1999-12-31|2[01][0-9]{2}-|2200-01-01)"})
Moment = Annotated[datetime, BeforeValidator(_moment), _IN_THE_CALENDAR]


class DaysDocument(Document):
    """Calendar days, both ends included."""

    start: Annotated[Day, Field(alias="from", description="first day, YYYY-MM-DD")]
    end: Annotated[Day, Field(alias="to", description="last day, YYYY-MM-DD, not before the first")]

    def to_span(self) -> Span:
        """Return the days as a value."""
        return asked_span(self.start, self.end)

    def model_post_init(self, context: Any) -> None:
        """Refuse days in the wrong order, and more than ten years of them."""
        domain(self.to_span)


class GivenDays(Answer):
    """Calendar days as they are kept, both ends included."""

    first: Annotated[date, Field(alias="from", description="first day, YYYY-MM-DD")]
    last: Annotated[date, Field(alias="to", description="last day, itself included")]


def given_days(span: Span) -> GivenDays:
    """Return days as an answer has them."""
    return GivenDays(first=span.first, last=span.last)


def days_document(span: Span) -> dict[str, str]:
    """Return days, both ends included."""
    return {"from": span.first.isoformat(), "to": span.last.isoformat()}


def moment_text(at: datetime | None) -> str | None:
    """Return a moment with its zone."""
    return None if at is None else at.isoformat().replace("+00:00", "Z")
