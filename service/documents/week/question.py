"""The question of a week (``holdwright.week/1``): days, tables, and jobs with a request or a plan each."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from typing import Annotated, Any, Literal

from pydantic import ConfigDict, Discriminator, Field, Tag

from inventory import limits
from inventory.errors import Fault
from service.documents.answers.answer import Kept
from service.documents.plan_schema.plan import PlanDocument
from service.documents.reading.fields import Day, Document, Id, Name, UpTo, Whole, Within
from service.documents.reading.reading import Reading
from service.documents.request import RequestDocument

FORMAT = "holdwright.week/1"
LARGEST_WEEK = 20_000_000
"""Most bytes: plans may stand in it in full."""
MOST_DAYS, LONGEST_WEEK, MOST_JOBS = 60, 92, 100
"""Listed days; calendar days from the first to the last; jobs."""
LATE_CENTS = limits.Limit(0, 10_000_000, "cents a day", whole=True)
EXAMPLE: dict[str, Any] = {
    "format": FORMAT,
    "days": ["2027-03-01", "2027-03-02", "2027-03-03"],
    "tables": ["T1"],
    "jobs": [
        {"id": "gate-17", "plan": "4f0c7d2e9a51b386", "due": "2027-03-02", "days": 2, "late_cents_per_day": 5000},
        {"id": "gate-18", "plan": "4f0c7d2e9a51b386", "due": "2027-03-03", "days": 1},
    ],
}


def _named_or_whole(value: Any) -> str:
    return "whole" if isinstance(value, dict) else "none" if value is None else "id"


class WeekJobDocument(Document):
    """A job: what is to be welded, as a request or a finished plan, when, and what a day's delay costs."""

    id: Annotated[Id, Field(description="the job's id, one of its own")]
    name: Annotated[Name, Field(description="what charts call it; absent = the weldment's name")] = ""
    request: Annotated[
        Annotated[dict[str, Any], Kept(RequestDocument)] | None,
        Field(description="a holdwright.request/1 document to be planned first, without `needed`: the week says when"),
    ] = None
    plan: Annotated[
        Annotated[Id, Tag("id")] | Annotated[dict[str, Any], Kept(PlanDocument), Tag("whole")] | Annotated[None, Tag("none")],
        Discriminator(_named_or_whole),
        Field(description="id of a finished plan, or a holdwright.plan/1 document"),
    ] = None
    release: Annotated[Day | None, Field(description="not before this day; absent = the first of `days`")] = None
    due: Annotated[Day, Field(description="late if its last day is after this one")]
    days: Annotated[Whole, Within(limits.Limit(1, MOST_DAYS, "days", whole=True)), Field(description="listed days in a row")] = 1
    late_cents_per_day: Annotated[Whole, Within(LATE_CENTS), Field(description="price of a calendar day's delay, cents")] = 0


class WeekDocument(Document):
    """Days on which work is done, the tables that may be used, and the jobs."""

    model_config = ConfigDict(json_schema_extra={"examples": [EXAMPLE]})

    format: Annotated[Literal["holdwright.week/1"], Field(description=f'"{FORMAT}"')]
    days: Annotated[
        list[Day], UpTo(MOST_DAYS, 1), Field(description="working days, ascending; those between count for hire alone")
    ]
    tables: Annotated[list[Id], UpTo(limits.TABLES, 1), Field(description="ids of the tables that may be used")]
    jobs: Annotated[list[WeekJobDocument], UpTo(MOST_JOBS, 1), Field(description="the jobs")]
    time_limit_s: Annotated[
        float, Within(limits.TIME_LIMIT), Field(description="seconds for the week; requests have their own")
    ] = 20.0
    work_limit: Annotated[
        Annotated[float, Within(limits.WORK_LIMIT)] | None, Field(description="limit in the solver's deterministic units")
    ] = None
    seed: Annotated[Whole, Within(limits.SEED), Field(description="the same seed, the same answer")] = 1

    @property
    def span(self) -> tuple[date, date]:
        """The first and the last of its days."""
        return self.days[0], self.days[-1]


def read_week(raw: bytes | str | dict[str, Any], tables: set[str] | None = None) -> WeekDocument:
    """Return the question of a week; raises InvalidDocument with every fault.

    Parameters
    ----------
    tables : set of str, optional
        The tables there are.
    """
    reading = Reading(raw, WeekDocument, LARGEST_WEEK)
    if reading.document is not None:
        reading.add(_faults(reading.document, tables))
    reading.finish()
    assert reading.document is not None
    return reading.document


def _faults(week: WeekDocument, tables: set[str] | None) -> Iterator[Fault]:
    if not 1 <= len(week.days) <= MOST_DAYS:
        yield Fault("/days", f"{len(week.days)} days", f"1 to {MOST_DAYS}")
        return
    for k, (before, day) in enumerate(zip(week.days, week.days[1:], strict=False), 1):
        if day <= before:
            yield Fault(
                f"/days/{k}", f"{day.isoformat()} is not after {before.isoformat()}", "days in ascending order, each once"
            )
            return
    length = (week.days[-1] - week.days[0]).days + 1
    if length > LONGEST_WEEK:
        yield Fault("/days", f"{length} calendar days from the first to the last", f"at most {LONGEST_WEEK}")
    yield from _table_faults(week, tables)
    if not 1 <= len(week.jobs) <= MOST_JOBS:
        yield Fault("/jobs", f"{len(week.jobs)} jobs", f"1 to {MOST_JOBS}")
    yield from limits.repeated_faults(((f"/jobs/{k}/id", job.id) for k, job in enumerate(week.jobs)), "job")
    for k, job in enumerate(week.jobs):
        yield from (fault.under(f"/jobs/{k}") for fault in _job_faults(job, week))


def _table_faults(week: WeekDocument, tables: set[str] | None) -> Iterator[Fault]:
    if not 1 <= len(week.tables) <= limits.TABLES:
        yield Fault("/tables", f"{len(week.tables)} tables", f"1 to {limits.TABLES}")
    yield from limits.repeated_faults(((f"/tables/{k}", table) for k, table in enumerate(week.tables)), "table")
    for k, table in enumerate(week.tables):
        if tables is not None and table not in tables:
            yield Fault(
                f"/tables/{k}",
                f"there is no table {limits.shown(table)}",
                limits.suggestion(table, tables, "a table of the shop"),
            )


def _job_faults(job: WeekJobDocument, week: WeekDocument) -> Iterator[Fault]:
    if (job.request is None) == (job.plan is None):
        wrong = "neither a request nor a plan" if job.plan is None else "both a request and a plan"
        yield Fault("", wrong, "one of `request` and `plan`")
    if job.request is not None and job.request.get("needed") is not None:
        yield Fault("/request/needed", "the week says on which days a job is done", "a request without `needed`")
    release = job.release or week.days[0]
    if job.due < release:
        yield Fault("/due", f"{job.due.isoformat()} is before its release, {release.isoformat()}", "the release or a later day")
    if job.release is not None and job.release > week.days[-1]:
        yield Fault(
            "/release", f"{job.release.isoformat()} is after the last of `days`", f"{week.days[-1].isoformat()} or earlier"
        )
    if job.days > len(week.days):
        yield Fault("/days", f"{job.days} days in a row", f"at most the {len(week.days)} of the week's `days`")
