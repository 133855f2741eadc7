"""Measured times on the wire: what is reported, what is kept, and how it lies beside what was predicted."""

from __future__ import annotations

from datetime import date, datetime
from typing import Annotated, Any, Literal

from pydantic import Field

from inventory import limits
from service.documents.answers.answer import Answer
from service.documents.answers.catalogue import Next
from service.documents.reading.fields import Day, Document, Name, UpTo, Whole, Within
from service.documents.stockroom.body import SignedBody
from solver.time_study.reports import Agreement

MOST_AT_ONCE = 100
SECONDS = limits.Limit(0.1, 1_000_000, "s")
"""What may be measured: a setup, or a cycle a weldment."""
ARC_SECONDS = limits.Limit(0, SECONDS.high, "s")
COUNT = limits.Limit(1, 1_000_000, "", whole=True)
"""How many setups or weldments a mean is over."""
Kind = Annotated[Literal["setup", "cycle"], Field(description="what was measured")]


class TimedDocument(Document):
    """One measurement: a setup, or a cycle a weldment."""

    what: Kind
    seconds: Annotated[
        float, Within(SECONDS), Field(description="how long it took; of several the mean; all stations together, or a weldment")
    ]
    count: Annotated[Whole, Within(COUNT), Field(description="how many setups or weldments it is the mean of")] = 1
    set_before: Annotated[
        bool | None, Field(description="a setup: whether the plan had been set before; absent = as it was priced")
    ] = None
    arc_s: Annotated[
        float,
        Within(ARC_SECONDS),
        Field(description="a cycle: seconds of arc in it, which the price does not count"),
    ] = 0.0
    measured_on: Annotated[Day | None, Field(description="the day; absent = today")] = None
    note: Annotated[Name, Field(description="what was special")] = ""


class MeasuredBody(SignedBody):
    """Times measured at one alternative of a plan."""

    rank: Annotated[Whole, Within(limits.RANK), Field(description="the alternative that was built")] = 1
    measured: Annotated[list[TimedDocument], UpTo(MOST_AT_ONCE, 1), Field(description="the measurements")]


class WithdrawnDocument(Answer):
    """How a report was taken back."""

    at: datetime
    by: Annotated[str, Field(description="who signs for it")]
    why: str


class TimeReportDocument(Answer):
    """A measured time as it is kept."""

    number: Annotated[int, Field(description="its number among all reports")]
    plan: Annotated[str, Field(description="id of the plan")]
    rank: Annotated[int, Field(description="the alternative that was built")]
    name: Annotated[str, Field(description="the weldment's")]
    what: Kind
    seconds: Annotated[float, Field(description="as it was reported, s")]
    arc_s: Annotated[float, Field(description="seconds of arc in it, which are not held beside the prediction")]
    count: Annotated[int, Field(description="how many it is the mean of")]
    set_before: Annotated[bool | None, Field(description="a setup: whether the plan had been set before; null of a cycle")]
    stations: Annotated[int, Field(description="stations on the table")]
    predicted_s: Annotated[int, Field(description="what the plan's rule book says of it, s")]
    ratio: Annotated[float | None, Field(description="(seconds - arc_s) / predicted_s; null where nothing is predicted")]
    measured_on: Annotated[date, Field(description="the day it was measured")]
    reported_at: datetime
    by: Annotated[str, Field(description="who reported it")]
    note: str
    withdrawn: Annotated[WithdrawnDocument | None, Field(description="how it was taken back; null: it stands")]


class AgreementDocument(Answer):
    """How measured times lie beside predicted ones."""

    count: Annotated[int, Field(description="reports that stand")]
    ratio: Annotated[float, Field(description="median of measured / predicted")]
    scatter: Annotated[float, Field(description="robust standard deviation of measured / predicted")]
    miss_s: Annotated[float, Field(description="median absolute difference, s")]
    miss_share: Annotated[float, Field(description="median absolute difference as a share of the measured time")]


_OF_SETUPS = Annotated[AgreementDocument | None, Field(description="setups, measured beside predicted; null: none were measured")]
_OF_CYCLES = Annotated[AgreementDocument | None, Field(description="cycles, measured beside predicted; null: none were measured")]


class ReportsDocument(Answer):
    """Times that were reported together."""

    reports: list[TimeReportDocument]


class PlanReportsDocument(Answer):
    """All times reported of one plan, newest first, and how they lie beside the predicted ones."""

    plan: Annotated[str, Field(description="id of the plan")]
    reports: list[TimeReportDocument]
    setup: _OF_SETUPS
    cycle: _OF_CYCLES


class ReportPageDocument(Answer):
    """A page of reported times, newest first, and how all that were asked for lie beside the predicted ones."""

    reports: list[TimeReportDocument]
    setup: _OF_SETUPS
    cycle: _OF_CYCLES
    next: Next


class ReportImportDocument(Answer):
    """What a list of measured times has written, or would write."""

    rows: Annotated[int, Field(description="rows read")]
    written: Annotated[bool, Field(description="false of a dry run")]
    setups: Annotated[int, Field(description="setup times in it")]
    cycles: Annotated[int, Field(description="cycle times in it")]
    reports: Annotated[list[TimeReportDocument], Field(description="as they are kept; none yet, on a dry run")]


def agreement_document(found: Agreement | None) -> dict[str, Any] | None:
    """Return how times agree as plain JSON values, rounded to what is worth reading."""
    if found is None:
        return None
    shares = {name: round(getattr(found, name), 4) for name in ("ratio", "scatter", "miss_share")}
    return AgreementDocument(count=found.count, miss_s=round(found.miss_s, 1), **shares).plain()
