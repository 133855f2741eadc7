"""What if these rules were changed: kept scores are read and held against them, what lacks one is scored, some plan again."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any

from anyio.to_thread import run_sync

from inventory.errors import Fault, InvalidDocument
from inventory.limits import shown
from inventory.store.errors import NotFound
from service.documents.rescoring.kept_score import is_current
from service.documents.rescoring.what_if import ChangedRules, WhatIfBody, moment
from service.documents.rule_books.known_books import as_planned, references_in
from service.errors import JobError
from service.planning_jobs.content import days_of
from service.planning_jobs.planning_service import PlanningService, SubmissionKey
from service.records.job import WantedJobs
from service.records.plan_scores import ScoredJob
from service.rescoring.asked_again import with_rules
from service.rescoring.effects import Effects, effects
from service.rescoring.full_checks import checked_whole
from service.rescoring.late_scores import late_score
from service.rule_books.reading import known_books

LATE_AT_ONCE = 20
"""So many plans without a score are scored for one question; of the others it is said that they have none yet."""
CHECKED_AT_ONCE = 50
"""So many plans are checked whole for one question."""
AGAIN = "it has no score yet: ask once more"


@dataclass(frozen=True, slots=True)
class Consequences:
    """The answer: what the rules do, plans without a score with why, jobs of those planned again."""

    effects: Effects
    not_scored: tuple[dict[str, Any], ...]
    re_solved: tuple[dict[str, Any], ...]
    last: str | None
    """The place of the last plan looked at, if there are more."""


@dataclass(frozen=True, slots=True)
class RuleConsequences:
    """Changed rules held against the plans of a store."""

    planning: PlanningService

    async def of(self, asked: WhatIfBody, before: tuple[datetime, str] | None, key: SubmissionKey) -> Consequences:
        """Return what changed rules do to the plans asked for.

        Parameters
        ----------
        before : tuple or None
            Plans behind this place of the list alone.
        key : SubmissionKey
            What plans that are planned again are taken in under.

        Raises
        ------
        InvalidDocument
            A plan or a rule book that is named is not there.
        TooManyDocuments, TaskOverdue, TaskDied, Stopping
        """
        rules = await run_sync(self._numbers, asked.rules)
        jobs, more = await run_sync(self._jobs, asked, before)
        jobs, not_scored = await self._scored(jobs)
        found = await run_sync(lambda: effects(jobs, rules, all_shown=asked.show == "all"))
        if asked.check:
            found = replace(found, shown=tuple([await self._looked_at(each, number, rules) for number, each in _in_doubt(found)]))
        again = await self._planned_again(asked, found, key)
        last = jobs[-1].place if more and jobs else None
        return Consequences(found, not_scored, again, last)

    def _numbers(self, changed: ChangedRules) -> Mapping[str, float]:
        if changed.base is None:
            return dict(changed.set)
        named = {"base": changed.base, "version": changed.version}
        books = known_books(self.planning.records.database, references_in([{"rules": named}]))
        try:
            book = books.base(changed.base, changed.version, None)
        except InvalidDocument as unknown:
            raise InvalidDocument([fault.under("/rules") for fault in unknown.faults]) from None
        return {**book.resolved(), **changed.set}

    def _jobs(self, asked: WhatIfBody, before: tuple[datetime, str] | None) -> tuple[list[ScoredJob], bool]:
        records = self.planning.records
        if asked.plans is not None:
            found = records.scored_named(asked.plans)
            there = {each.id for each in found}
            lacking = [(k, id) for k, id in enumerate(asked.plans) if id not in there]
            if lacking:
                accepted = "the id of a finished plan that has alternatives"
                raise InvalidDocument([Fault(f"/plans/{k}", f"there is no plan {shown(id)}", accepted) for k, id in lacking[:20]])
            return found, False
        since, until = (None if each is None else moment(each) for each in (asked.since, asked.until))
        states = () if asked.state is None else (asked.state,)
        found = records.scored(WantedJobs(states, asked.status, "plan", asked.name, since, until), before, asked.limit + 1)
        return found[: asked.limit], len(found) > asked.limit

    async def _scored(self, jobs: Sequence[ScoredJob]) -> tuple[list[ScoredJob], tuple[dict[str, Any], ...]]:
        """Return the jobs with a score, and those that have none with why; some that have none get theirs."""
        scored, without, late = [], [], 0
        for job in jobs:
            if job.score is not None and is_current(job.score):
                scored.append(job)
                continue
            late += 1
            text, why = await self.score(job.id) if late <= LATE_AT_ONCE else (None, AGAIN)
            if text is not None:
                scored.append(replace(job, score=text))
            else:
                without.append({"plan": job.id, "name": job.name, "why": why})
        return scored, tuple(without)

    async def score(self, id: str) -> tuple[str | None, str]:
        """Return the score of a finished plan, worked out in another process and kept; None and why if there is none."""
        job = await run_sync(self.planning.job, id)
        if job.plan is None:
            return None, "it has no plan"
        stock = await run_sync(self.planning.stock.snapshot, days_of(json.loads(job.request)))
        text, why = await self.planning.side_tasks.work("scoring", late_score, job.request, dict(job.plan), stock)
        if text is not None:
            await run_sync(self.planning.records.keep_score, id, text)
        return text, why

    async def _looked_at(self, effect: dict[str, Any], number: int | None, rules: Mapping[str, float]) -> dict[str, Any]:
        """Return a plan's effect with the findings of a whole check where something could not be judged."""
        if number is None or number >= CHECKED_AT_ONCE:
            return effect
        job = await run_sync(self.planning.job, effect["plan"])
        (scored,) = await run_sync(self.planning.records.scored_named, [effect["plan"]])
        stock = await run_sync(self.planning.stock.snapshot, days_of(json.loads(job.request)))
        task = (checked_whole, job.request, dict(job.plan or {}), stock, scored.score or "", rules)
        by_rank: dict[int, dict[str, Any]] = await self.planning.side_tasks.work("the check", *task)
        listed = [{**each, "checked": by_rank.get(each["rank"])} for each in effect["alternatives"]]
        return {**effect, "alternatives": listed}

    async def _planned_again(self, asked: WhatIfBody, found: Effects, key: SubmissionKey) -> tuple[dict[str, Any], ...]:
        wanted = [each["plan"] for each in found.shown] if asked.re_solve is True else list(asked.re_solve or ())
        return tuple([await self._again(id, asked.rules, key) for id in wanted])

    async def _again(self, id: str, changed: ChangedRules, key: SubmissionKey) -> dict[str, Any]:
        try:
            job = await run_sync(self.planning.job, id)
            document = with_rules(as_planned(json.loads(job.request), job.plan or {}), changed)
            own = replace(
                key,
                key=None if key.key is None else hashlib.sha256(f"{key.key} {id}".encode()).hexdigest(),
                fingerprint=hashlib.sha256(f"{key.fingerprint} {id}".encode()).hexdigest(),
            )
            taken = await self.planning.submit(document, len(job.request), own, priority="batch")
        except InvalidDocument as bad:
            faults = [{"pointer": each.pointer, "wrong": each.wrong, "accepted": each.accepted} for each in bad.faults]
            return {"plan": id, "job": None, "why": "its request cannot be planned with these rules", "faults": faults}
        except (JobError, NotFound) as refused:
            return {"plan": id, "job": None, "why": str(refused), "faults": []}
        return {"plan": id, "job": taken.id, "why": "", "faults": []}


def _in_doubt(found: Effects) -> list[tuple[int | None, dict[str, Any]]]:
    """Return the plans shown, those with something that cannot be judged numbered from 0."""
    numbered: list[tuple[int | None, dict[str, Any]]] = []
    count = 0
    for each in found.shown:
        doubtful = any(one["allowed"] == "must be checked" for one in each["alternatives"])
        numbered.append((count if doubtful else None, each))
        count += doubtful
    return numbered
