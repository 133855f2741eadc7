"""The check of a planned week, from its question, the plans it names, the stock of its days and the answer's document.

Shares no arithmetic with what plans weeks.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from datetime import date, timedelta
from itertools import combinations
from typing import Any

from inventory.stock import StockByDay
from solver.checks.report import Report, at_most, fail, summary
from solver.checks.week.standing import StandingJob, standing_job
from solver.plans import Finding

APART = 1e-6
_LINES = ("setup_cents", "cycle_cents", "tie_up_cents", "shortage_cents", "weights_cents", "late_cents")


def check_week(
    question: Mapping[str, Any],
    plans: Mapping[str, Mapping[str, Any]],
    stock: StockByDay,
    answer: Mapping[str, Any],
    named: Mapping[str, Sequence[str]] | None = None,
) -> Report:
    """Return what was found.

    Parameters
    ----------
    question : dict
        The ``holdwright.week/1`` document.
    plans : dict
        The plan document of each job that has one, by job.
    stock : StockByDay
        Free pieces from the first of the question's days to the last.
    answer : dict
        The ``holdwright.week-plan/1`` document.
    named : dict, optional
        The tables that the request behind a job's plan names, by job, where it is known.
    """
    question, jobs = _with_tables(question, named or {}), {job["id"]: job for job in question["jobs"]}
    there = [standing_job(jobs[entry["job"]], entry, plans[entry["job"]], stock) for entry in answer["assignments"]]
    return Report(
        (
            *summary("week.jobs", "week", _jobs(jobs, answer)),
            *summary("week.days", "week", (found for each in there for found in _days(question, each))),
            *summary("week.stays", "week", _stays(there)),
            *summary("week.table", "week", (found for each in there for found in _table(question, each, stock))),
            *summary("week.apart", "week", _apart(there, stock)),
            *summary("week.pieces", "week", _pieces(question, there, stock)),
            *summary("week.price", "week", _prices(question, plans, there, stock, answer)),
            *summary("week.bound", "week", _bound(answer)),
        )
    )


def _with_tables(question: Mapping[str, Any], named: Mapping[str, Sequence[str]]) -> dict[str, Any]:
    """Return the question with the tables each job may use."""
    allowed = {}
    for job in question["jobs"]:
        own = named.get(job["id"], (job.get("request") or {}).get("tables", question["tables"]))
        allowed[job["id"]] = [table for table in question["tables"] if table in own]
    return {**question, "allowed": allowed}


def _jobs(jobs: Mapping[str, Any], answer: Mapping[str, Any]) -> Iterator[Finding]:
    """Yield jobs that are not answered for, or more than once."""
    named = [entry["job"] for entry in (*answer["assignments"], *answer["left_over"])]
    for id in sorted({*jobs, *named}):
        if named.count(id) != 1 or id not in jobs:
            yield fail("week.jobs", id, "every job stands once in the answer", named.count(id), 1)


def _days(question: Mapping[str, Any], each: StandingJob) -> Iterator[Finding]:
    """Yield days that are not listed ones in a row, or before the release."""
    listed = [date.fromisoformat(day) for day in question["days"]]
    count = each.job.get("days") or 1
    release = each.job.get("release")
    if (
        each.first not in listed
        or listed[listed.index(each.first) :][:count][-1:] != [each.last]
        or listed.index(each.first) + count > len(listed)
    ):
        yield fail("week.days", each.id, f"{count} listed days in a row")
    if release is not None and each.first < date.fromisoformat(release):
        yield fail("week.days", each.id, f"not before its release, {release}")


def _stays(there: list[StandingJob]) -> Iterator[Finding]:
    """Yield set-ups that do not stand from before as they say, and kits held from another day than theirs."""
    by_id = {each.id: each for each in there}
    followers: dict[str, int] = defaultdict(int)
    for each in there:
        if each.stays_after is None:
            if each.held != each.first:
                yield fail("week.stays", each.id, "a kit that is set is held from the first day of the work")
            continue
        before = by_id.get(each.stays_after)
        followers[each.stays_after] += 1
        if (
            each.alternative.variants
            or before is None
            or before.place != each.place
            or before.table.id != each.table.id
            or before.shift != each.shift
        ):
            yield fail("week.stays", each.id, "what stays is the same kit at the same place")
        elif before.last >= each.first or each.held != before.last + timedelta(days=1):
            yield fail("week.stays", each.id, "what stays is held from the day after the job before")
        elif followers[each.stays_after] > 1:
            yield fail("week.stays", each.id, "one job follows on a set-up")


def _table(question: Mapping[str, Any], each: StandingJob, stock: StockByDay) -> Iterator[Finding]:
    """Yield what does not stand on its table: another sort of table, holes that are not there, bodies pushed over the edge."""
    if each.table.id not in question["allowed"][each.id]:
        yield fail("week.table", each.id, f"table {each.table.id} may not be used")
    yield from (fail("week.table", each.id, wrong) for wrong in each.misfits(stock.whole.tables))


def _apart(there: list[StandingJob], stock: StockByDay) -> Iterator[Finding]:
    """Yield set-ups that stand in each other's way on a day, and tables that carry too much."""
    for one, other in combinations(there, 2):
        if one.table.id == other.table.id and one.held <= other.last and other.held <= one.last:
            gap = max((other.room[0] - one.room[1]).max(), (one.room[0] - other.room[1]).max())
            if gap < -APART:
                yield fail("week.apart", one.id, f"{one.id} and {other.id} stand in each other's way", float(gap), 0, "mm")
    for first in there:
        most = first.table.max_load_kg
        beside = [each for each in there if each.table.id == first.table.id and each.held <= first.held <= each.last]
        if most is not None and len(beside) > 1:
            loads = [each.load_kg for each in beside]
            if None in loads:
                yield fail("week.load", first.table.id, f"what {first.id} weighs is not known, and others stand beside it")
            else:
                carried = sum(load for load in loads if load is not None)
                yield from (
                    found for found in [at_most("week.load", first.table.id, carried, most, "kg", "", 1e-3)] if not found.ok
                )


def _pieces(question: Mapping[str, Any], there: list[StandingJob], stock: StockByDay) -> Iterator[Finding]:
    """Yield items of which more pieces are on tables on a day than are free."""
    day, number = date.fromisoformat(question["days"][0]), 0
    while day <= date.fromisoformat(question["days"][-1]):
        taken: dict[str, int] = defaultdict(int)
        for each in there:
            if each.held <= day <= each.last:
                for item, count in each.taken.items():
                    taken[item] += count
        for item, count in taken.items():
            free = stock.free[item][number] if item in stock.free else 0
            if count > free:
                yield fail("week.pieces", item, f"on {day.isoformat()}", count, free, "pieces")
        day, number = day + timedelta(days=1), number + 1


def _prices(
    question: Mapping[str, Any],
    plans: Mapping[str, Mapping[str, Any]],
    there: list[StandingJob],
    stock: StockByDay,
    answer: Mapping[str, Any],
) -> Iterator[Finding]:
    """Yield lines of the price that do not come out."""
    totals = dict.fromkeys((*_LINES, "left_over_cents"), 0)
    for each, entry in zip(there, answer["assignments"], strict=True):
        for line, cents in {**each.lines(stock.whole.items), "left_over_cents": 0}.items():
            totals[line] += cents
            if entry["cost"][line] != cents:
                yield fail("week.price", each.id, line, entry["cost"][line], cents, "cents")
    end = date.fromisoformat(question["days"][-1])
    jobs = {job["id"]: job for job in question["jobs"]}
    for entry in answer["left_over"]:
        job = jobs[entry["job"]]
        waiting = _left_over(job, plans.get(entry["job"]), question, stock, end)
        totals["left_over_cents"] += waiting
        if entry["cents"] != waiting:
            yield fail("week.price", entry["job"], "left over", entry["cents"], waiting, "cents")
    totals["total_cents"] = sum(totals.values())
    for line, cents in totals.items():
        if answer["cost"][line] != cents:
            yield fail("week.price", "week", line, answer["cost"][line], cents, "cents")


def _left_over(
    job: Mapping[str, Any], plan: Mapping[str, Any] | None, question: Mapping[str, Any], stock: StockByDay, end: date
) -> int:
    """Return what a job counts with that is left over: its cheapest kit on some table of the week, right after it."""
    count = job.get("days") or 1
    ways = []
    for alternative in (plan or {}).get("alternatives", ()):
        for table in question["allowed"][job["id"]]:
            entry = {"job": job["id"], "rank": alternative["rank"], "table": table, "seat": {"columns": 0, "rows": 0}}
            days = {"from": end.isoformat(), "to": end.isoformat()}
            way = standing_job(job, {**entry, "days": days, "held": days, "stays_after": None, "holes": None}, plan or {}, stock)
            if not list(way.misfits(stock.whole.tables)):
                lines = way.lines(stock.whole.items)
                ways.append(sum(lines.values()) - lines["late_cents"] + (count - 1) * lines["tie_up_cents"])
    late = max(0, (end + timedelta(days=count) - date.fromisoformat(job["due"])).days)
    return min(ways, default=0) + (job.get("late_cents_per_day") or 0) * late


def _bound(answer: Mapping[str, Any]) -> Iterator[Finding]:
    """Yield a bound above the price, and `optimal` where something is not proved."""
    total, bound = answer["cost"]["total_cents"], answer["cost_bound_cents"]
    if bound > total:
        yield fail("week.bound", "week", "the bound lies above the price", bound, total, "cents")
    if (answer["status"] == "optimal") != (bound == total and answer["fewest_left_over"]):
        yield fail("week.bound", "week", "optimal is what is proved, and nothing else")
