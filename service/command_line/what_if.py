"""`holdwright rules what-if`: what changed rules would do to the plans of a store, without solving."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

from inventory.errors import Fault, InvalidDocument
from inventory.limits import shown
from service.command_line.exit_code import read_from
from service.command_line.printing.console import DONE, REFUSED, note, print_json, print_table
from service.command_line.rule_books import rule_values
from service.command_line.sources import the_store
from service.documents.rescoring.kept_score import is_current
from service.documents.rules import judged
from service.planning_jobs.content import days_of
from service.records.job import WantedJobs
from service.records.jobs import JobRecords
from service.records.plan_scores import ScoredJob
from service.rescoring.effects import Effects, effects
from service.rescoring.late_scores import late_score
from service.settings import Settings
from service.stockroom.stock_source import StoreStock
from service.text import money
from service.text_table import Column


@dataclass(frozen=True, slots=True)
class AskedPlans:
    """Which plans changed rules are held against: those named, else the newest that the filter finds."""

    ids: Sequence[str]
    status: Any
    name: str | None
    limit: int
    all_shown: bool


def ask_what_if(words: Sequence[str], asked: AskedPlans, db: str | None, as_json: bool) -> int:
    """Print what changed rules, ``RULE=VALUE`` each, would do; exit code 1 if the first alternative of a plan breaks a limit."""
    with read_from("settings"):
        currency = Settings.read().currency
    with read_from("rules"):
        rules = rule_values(words)
        judged(rules)
    with the_store(db) as store:
        records, stock = JobRecords(store, "", 1, 1).create(), StoreStock(store)
        with read_from("--plan"):
            jobs = _jobs(records, asked)
        scored, without = _scored(records, stock, jobs)
        found = effects(scored, rules, all_shown=asked.all_shown)
    if as_json:
        print_json({"totals": found.totals.plain(), "plans": list(found.shown), "not_scored": without})
    else:
        _say(found, without, currency)
    return REFUSED if found.totals.broken else DONE


def _jobs(records: JobRecords, asked: AskedPlans) -> list[ScoredJob]:
    if not asked.ids:
        return records.scored(WantedJobs(status=asked.status, name=asked.name), None, asked.limit)
    found = records.scored_named(asked.ids)
    lacking = sorted(set(asked.ids) - {each.id for each in found})
    if lacking:
        accepted = "the id of a finished plan that has alternatives"
        raise InvalidDocument([Fault("", f"there is no plan {shown(id)}", accepted) for id in lacking])
    return found


def _scored(records: JobRecords, stock: StoreStock, jobs: Sequence[ScoredJob]) -> tuple[list[ScoredJob], list[dict[str, str]]]:
    """Return the jobs with a score, and those that cannot have one with why; what has none yet gets it."""
    scored, without = [], []
    for each in jobs:
        if each.score is not None and is_current(each.score):
            scored.append(each)
            continue
        job = records.get(each.id)
        text, why = None, "it has no plan"
        if job is not None and job.plan is not None:
            text, why = late_score(job.request, job.plan, stock.snapshot(days_of(json.loads(job.request))))
        if text is None:
            without.append({"plan": each.id, "name": each.name, "why": why})
        else:
            records.keep_score(each.id, text)
            scored.append(replace(each, score=text))
    return scored, without


def _say(found: Effects, without: Sequence[dict[str, str]], currency: str) -> None:
    columns = [Column("plan"), Column("name", wraps=True), Column("pieces", right=True), Column("before", right=True)]
    columns += [Column("after", right=True), Column("first"), Column("limits", wraps=True)]
    print_table(columns, [_row(each, currency) for each in found.shown], "nothing changes for any plan")
    told = found.totals
    note(
        f"{told.plans} plans: {told.price_changes} change their price, {told.first_changes} their first alternative, "
        f"{told.broken} break a limit, {told.must_be_checked} must be checked; "
        f"{money(told.total_before_cents, currency)} before, {money(told.total_after_cents, currency)} after"
    )
    for each in without:
        note(f"{each['plan']} has no score: {each['why']}")


def _row(each: dict[str, Any], currency: str) -> list[str]:
    first = each["alternatives"][0]
    after = money(first["total_after_cents"], currency)
    leads = "none" if each["first_after"] is None else f"{each['first_after']}" if each["first_changes"] else ""
    broken = [f"{one['rule']} {one['subject']}: {one['value']:.4g}, {one['limit']:.4g} asked" for one in first["broken"][:2]
              if one["value"] is not None and one["limit"] is not None]  # fmt: skip
    broken += [f"must be checked: {', '.join(one['rule'] for one in first['unjudged'])}"] if first["unjudged"] else []
    quantity = "" if each["quantity"] is None else str(each["quantity"])
    before = money(first["total_before_cents"], currency)
    return [each["plan"], each["name"], quantity, before, after, leads, "; ".join(broken)]
