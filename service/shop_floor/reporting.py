"""Measured times come in by the plan they were measured at, one by one or as a list, and are taken back."""

from __future__ import annotations

import json
import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import Any

from inventory.errors import Fault, InvalidDocument, refuse
from inventory.items import Item
from inventory.limits import shown
from inventory.store import Connection, Note
from service.documents.plan_document import read_alternative
from service.errors import NoPlanToTime
from service.exchange.measured_csv import MeasuredRow
from service.records.job import Job
from service.records.jobs import JobRecords
from service.records.measured_times import NumberedReport, TimeReport, WantedReports, add_reports, find_reports
from solver.rule_book.book import RuleBook
from solver.time_study.work import SetupWork, What, planned_seconds, work_of

_EARLIEST = date(2000, 1, 1)


@dataclass(frozen=True, slots=True)
class Timed:
    """One measurement as it is reported: of a setup or a cycle, mean seconds of so many.

    `set_before`: whether the plan had been set before; None: as it was priced. `arc_s`: seconds of arc in a cycle's.
    """

    what: What
    seconds: float
    count: int = 1
    set_before: bool | None = None
    arc_s: float = 0.0
    measured_on: date | None = None
    note: str = ""

    def faults(self, today: date) -> Iterator[Fault]:
        """Yield what is wrong with it beside the ranges of its numbers."""
        if self.what == "cycle" and self.set_before is not None:
            yield Fault("/set_before", "is said of a cycle", "only with a setup")
        if self.what == "setup" and self.arc_s:
            yield Fault("/arc_s", "is said of a setup", "only with a cycle")
        if self.arc_s >= self.seconds:
            yield Fault("/arc_s", f"{self.arc_s:g} s of arc in {self.seconds:g} s", "less than the whole cycle")
        if self.measured_on is not None and not _EARLIEST <= self.measured_on <= today:
            accepted = f"{_EARLIEST} to today, {today}"
            yield Fault("/measured_on", f"{self.measured_on} is no day it can have been measured on", accepted)


@dataclass(frozen=True, slots=True)
class PlannedTimes:
    """What one alternative of a finished plan is to take, and of which work: read once for all measurements of it."""

    job: Job
    rank: int
    setup: SetupWork
    rules: Mapping[str, float]
    works: Mapping[What, Any]

    @classmethod
    def of(cls, job: Job, rank: int, items: Mapping[str, Item]) -> PlannedTimes:
        """Return an alternative's times.

        Raises
        ------
        NoPlanToTime
            The job has no plan.
        InvalidDocument
            At `/rank`: there is no such alternative.
        """
        if job.plan is None or not job.plan["alternatives"]:
            raise NoPlanToTime(job.state)
        found = next((each for each in job.plan["alternatives"] if each["rank"] == rank), None)
        if found is None:
            ranks = ", ".join(str(each["rank"]) for each in job.plan["alternatives"])
            raise InvalidDocument([Fault("/rank", f"there is no alternative {rank}", f"one of {ranks}")])
        alternative = read_alternative(dict(found))
        rules = {**RuleBook().resolved(), **job.plan.get("rules", {})}
        before = bool(json.loads(job.request).get("set_before", False))
        setup = work_of("setup", alternative, rules, items, before)
        assert isinstance(setup, SetupWork)
        return cls(job, rank, setup, rules, {"setup": setup, "cycle": work_of("cycle", alternative, rules, items, before)})

    def report(self, timed: Timed, today: date) -> TimeReport:
        """Return a measurement with what it is held beside."""
        work = self.works[timed.what]
        if isinstance(work, SetupWork) and timed.set_before is not None:
            work = replace(work, repeated=timed.set_before)
        predicted = math.ceil(round(planned_seconds(work, self.rules), 6))
        return TimeReport(
            self.job.id, self.rank, self.job.name, timed.what, timed.seconds, timed.arc_s, timed.count, work, predicted,
            timed.measured_on or today, timed.note,
        )  # fmt: skip


def reported(job: Job, rank: int, measured: Sequence[Timed], items: Mapping[str, Item], today: date) -> list[TimeReport]:
    """Return measurements of one alternative, ready to be written down.

    Raises
    ------
    NoPlanToTime
        The job has no plan.
    InvalidDocument
        With every fault, those of the k-th measurement below `/measured/k`.
    """
    if not measured:
        refuse([Fault("/measured", "nothing was measured", "a setup or a cycle at least")])
    refuse(fault.under(f"/measured/{k}") for k, one in enumerate(measured) for fault in one.faults(today))
    times = PlannedTimes.of(job, rank, items)
    return [times.report(one, today) for one in measured]


@dataclass(frozen=True, slots=True)
class ListedReport:
    """A measurement from a list, and the row it stands in."""

    row: int
    report: TimeReport


def listed(records: JobRecords, rows: Sequence[MeasuredRow], items: Mapping[str, Item], today: date) -> list[ListedReport]:
    """Return the measurements of a list's rows, ready to be written down; raises InvalidDocument with every fault, by row."""
    faults: list[Fault] = []
    found: list[ListedReport] = []
    known: dict[tuple[str, int], PlannedTimes | Fault] = {}
    jobs: dict[str, Job | None] = {}
    for row in rows:
        here = f"/rows/{row.row}"
        if row.plan not in jobs:
            jobs[row.plan] = records.get(row.plan)
        if (row.plan, row.rank) not in known:
            known[row.plan, row.rank] = _times(jobs[row.plan], row, items)
        times = known[row.plan, row.rank]
        for timed in _timed(row):
            wrong = list(timed.faults(today))
            faults += [each.under(here) for each in wrong]
            if isinstance(times, PlannedTimes) and not wrong:
                found.append(ListedReport(row.row, times.report(timed, today)))
        if isinstance(times, Fault):
            faults.append(times.under(here))
    refuse(faults)
    return found


def add_new(connection: Connection, reports: Sequence[TimeReport], note: Note, rows: Sequence[int] = ()) -> list[NumberedReport]:
    """Write reports down.

    With `rows`, the row of each in a list: a report that is there already, just so, is a fault: the list was taken in before.
    """
    if rows:
        plans = {one.plan for one in reports}
        standing = [each for plan in sorted(plans) for each in find_reports(connection, WantedReports(plan, standing=True))]
        there = {_same(each.report): each.number for each in standing}
        refuse(
            Fault(f"/rows/{row}", f"this is report {there[_same(one)]} already", "a list of what was not reported yet")
            for row, one in zip(rows, reports, strict=True)
            if _same(one) in there
        )
    return add_reports(connection, reports, note)


def _same(one: TimeReport) -> tuple[object, ...]:
    return (one.plan, one.rank, one.what, one.seconds, one.arc_s, one.count, one.work, one.measured_on, one.note)


def _timed(row: MeasuredRow) -> Iterator[Timed]:
    if row.setup_s is not None:
        yield Timed("setup", row.setup_s, row.setups, row.set_before, 0.0, row.measured_on, row.note)
    if row.cycle_s is not None:
        yield Timed("cycle", row.cycle_s, row.pieces, None, row.arc_s, row.measured_on, row.note)


def _times(job: Job | None, row: MeasuredRow, items: Mapping[str, Item]) -> PlannedTimes | Fault:
    if job is None or job.kind != "plan":
        return Fault("/plan", f"there is no plan {shown(row.plan)}", "the id of a plan of this server")
    try:
        return PlannedTimes.of(job, row.rank, items)
    except NoPlanToTime as none:
        return Fault("/plan", str(none), "a plan that is done")
    except InvalidDocument as bad:
        return bad.faults[0]
