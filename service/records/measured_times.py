"""Measured times in the database: how long setups and cycles took, of which plan, reported by whom."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, fields
from datetime import date, datetime
from typing import Any, cast

import sqlalchemy as sa

from inventory.store import Note
from inventory.store.errors import NotFound
from service.records.database import Database
from service.records.schema import measured_times
from solver.time_study.reports import MeasuredTime
from solver.time_study.work import CycleWork, SetupWork, What, Work

MOST_STUDIED = 5000
"""So many reports, the latest, go into a study."""


@dataclass(frozen=True, slots=True)
class TimeReport:
    """One report before it is written down.

    Parameters
    ----------
    name : str
        The weldment's.
    seconds, arc_s : float
        Mean of `count` setups or weldments, s; for a cycle with `arc_s` seconds of arc in it, which the price does not count.
    predicted_s : int
        What the plan's own rule book says of the work that was done.
    """

    plan: str
    rank: int
    name: str
    what: What
    seconds: float
    arc_s: float
    count: int
    work: Work
    predicted_s: int
    measured_on: date
    note: str = ""

    @property
    def counted_s(self) -> float:
        """What is held beside the prediction: the seconds without those of the arc."""
        return self.seconds - self.arc_s


@dataclass(frozen=True, slots=True)
class Withdrawn:
    """Who took a report back, when and why."""

    at: datetime
    by: str
    why: str


@dataclass(frozen=True, slots=True)
class NumberedReport:
    """A report as it is kept, with its number, who reported it when, and how it was taken back if it was."""

    number: int
    report: TimeReport
    reported_at: datetime
    by: str
    withdrawn: Withdrawn | None

    @property
    def measured(self) -> MeasuredTime:
        """The report as a study takes it."""
        one = self.report
        return MeasuredTime(self.number, one.plan, one.rank, one.work, one.counted_s, one.count)


@dataclass(frozen=True, slots=True)
class WantedReports:
    """Which reports to look for; everything not named is left open. `standing`: without those that were withdrawn."""

    plan: str | None = None
    what: What | None = None
    standing: bool = False


def add_reports(connection: sa.Connection, reports: Sequence[TimeReport], note: Note) -> list[NumberedReport]:
    """Write reports down, signed; return them with their numbers."""
    found = []
    for one in reports:
        values = {name: getattr(one, name) for name in TimeReport.__dataclass_fields__ if name != "work"}
        repeated = one.work.repeated if isinstance(one.work, SetupWork) else None
        values |= {"set_before": repeated, "stations": one.work.stations, "work": _plain(one.work)}
        written = measured_times.insert().values(**values, reported_at=note.at, by=note.who).returning(measured_times.c.number)
        found.append(NumberedReport(connection.execute(written).scalar_one(), one, note.at, note.who, None))
    return found


def withdraw_report(connection: sa.Connection, number: int, note: Note) -> NumberedReport:
    """Take a report back: it is kept, and counts no more; one that was taken back before stays so; raises NotFound."""
    here = measured_times.c.number == number
    values = {"withdrawn_at": note.at, "withdrawn_by": note.who, "withdrawn_why": note.why}
    connection.execute(measured_times.update().where(here, measured_times.c.withdrawn_at.is_(None)).values(**values))
    row = connection.execute(sa.select(measured_times).where(here)).one_or_none()
    if row is None:
        raise NotFound("measured time", number)
    return _report(row)


def find_reports(
    connection: sa.Connection, wanted: WantedReports, before: int | None = None, limit: int = MOST_STUDIED
) -> list[NumberedReport]:
    """Return reports, newest first, before the one of that number."""
    query = sa.select(measured_times).order_by(measured_times.c.number.desc()).limit(limit)
    if wanted.plan is not None:
        query = query.where(measured_times.c.plan == wanted.plan)
    if wanted.what is not None:
        query = query.where(measured_times.c.what == wanted.what)
    if wanted.standing:
        query = query.where(measured_times.c.withdrawn_at.is_(None))
    if before is not None:
        query = query.where(measured_times.c.number < before)
    return [_report(row) for row in connection.execute(query)]


def count_reports(database: Database) -> int:
    """Return how many reports stand."""
    query = sa.select(sa.func.count()).select_from(measured_times).where(measured_times.c.withdrawn_at.is_(None))
    return int(database.read(lambda connection: connection.execute(query).scalar_one()))


def _plain(work: Work) -> dict[str, Any]:
    return {each.name: getattr(work, each.name) for each in fields(work) if each.name != "repeated"}


def _work(what: What, values: Mapping[str, Any], repeated: bool | None) -> Work:
    if what == "setup":
        return SetupWork(**values, repeated=bool(repeated))
    return CycleWork(**values)


def _report(row: sa.Row[Any]) -> NumberedReport:
    kept = row._mapping  # `count` is a method of every row
    values = {name: kept[name] for name in TimeReport.__dataclass_fields__ if name != "work"}
    report = TimeReport(**values, work=_work(cast(What, row.what), row.work, row.set_before))
    withdrawn = None if row.withdrawn_at is None else Withdrawn(row.withdrawn_at, row.withdrawn_by, row.withdrawn_why)
    return NumberedReport(row.number, report, row.reported_at, row.by, withdrawn)
