"""Quotes taken further: what plans have said of prices is written down, and the plans that are needed next are asked for.

Any number of servers do so on one database: a group is taken further by whoever is first. What is lost with a server or a worker
is no more than the plan it was at, which is taken up again as any job is.
"""

from __future__ import annotations

import json
import logging
import secrets
from collections.abc import Mapping
from dataclasses import replace
from datetime import date
from typing import Any

from inventory.errors import StoreError
from service.background import Rounds
from service.documents.quotes.kept_basis import read_basis
from service.documents.quotes.price_facts import PriceFacts, kept_facts, price_facts
from service.planning_jobs.content import content_of
from service.planning_jobs.job_news import JobNews
from service.planning_jobs.job_runner import JobRunner
from service.quotes.kept_quote import prices_of
from service.records.job import Job
from service.records.jobs import JobRecords
from service.records.quotes import KeptGroup, KeptQuote, OpenGroup, QuoteRecords
from service.stockroom.stock_source import StockSource

log = logging.getLogger("holdwright.quotes")
_LOOK_S = 1.0
"""How often quotes are looked at of which nothing was heard, s."""
MOST_MADE = 120
"""So many plans are made for one request, those made anew because the stock changed meanwhile counted too."""


class QuoteRounds:
    """The thread of a server that takes quotes further."""

    def __init__(self, quotes: QuoteRecords, jobs: JobRecords, stock: StockSource, runner: JobRunner, news: JobNews) -> None:
        self._quotes, self._jobs, self._stock, self._runner, self._news = quotes, jobs, stock, runner, news
        self._rounds = Rounds("quotes", _LOOK_S, self._round)
        self._under_way: frozenset[str] = frozenset()
        news.when_changed(self.hear)

    def start(self) -> None:
        """Begin to take quotes further."""
        self._rounds.start()

    def stop(self) -> None:
        """Take no quote further."""
        self._rounds.stop(3.0)

    def wake(self) -> None:
        """Look at once."""
        self._rounds.wake()

    def hear(self, job: str) -> None:
        """Look at once if a job that has changed is one of a quote."""
        if job in self._under_way:
            self._rounds.wake()

    def _round(self) -> None:
        try:
            while self._taken_further_all() and not self._rounds.stopping:
                pass
        except StoreError as away:
            log.warning("quotes are taken further once the store answers again (%s)", type(away).__name__)

    def _taken_further_all(self) -> bool:
        """Take every group as far as it goes by now; return whether anything was written."""
        found = self._quotes.under_work()
        self._under_way = frozenset(id for each in found for id in each.under_way.values())
        ended = self._quotes.ended_jobs(sorted(self._under_way))
        written = False
        for each in found:
            if self._rounds.stopping:
                break
            if not each.under_way or not ended.keys().isdisjoint(each.under_way.values()):
                written |= self._taken_further(each, ended)
        return written

    def _taken_further(self, open_group: OpenGroup, ended: Mapping[str, str | None]) -> bool:
        quote = self._quotes.group(open_group.quote, open_group.number)
        if quote is None or not quote.groups:
            return False
        (group,) = quote.groups
        under_way = dict(group.under_way or {})
        try:
            return self._with_ended(quote, group, under_way, ended)
        except StoreError:
            raise
        except Exception as mistake:
            log.exception("quote %s, request %d cannot be taken further", quote.id, group.number)
            says = f"it could not be worked on ({type(mistake).__name__}); the server's log has the details under the quote's id"
            return self._quotes.take_further(quote.id, replace(group, under_way={}, failed=says), (), True)

    def _with_ended(
        self, quote: KeptQuote, group: KeptGroup, under_way: Mapping[str, str], ended: Mapping[str, str | None]
    ) -> bool:  # fmt: skip
        rate = read_basis(group.basis).rate
        left, facts, failed, made = dict(under_way), list(group.facts), group.failed, group.plans
        for quantity, id in under_way.items():
            if id in ended:
                del left[quantity]
                made += 1
                job = self._jobs.get(id)
                if job is not None and job.plan is not None:
                    found = price_facts(job.plan, int(quantity), id)
                    found.planned(rate)  # a price that is no line over quantity is a mistake of the planner's
                    facts.append(kept_facts(found))
                else:
                    failed = failed or _why(job)
        group = replace(group, under_way=left, facts=facts, failed=failed, plans=made)
        if left:
            return self._quotes.take_further(quote.id, group, (), False)
        return self._next(quote, group)

    def _next(self, quote: KeptQuote, group: KeptGroup) -> bool:
        """Ask for the plans a group needs next; what was planned before for the same content counts at once."""
        version = self._stock.snapshot().version
        jobs: list[Job] = []
        while True:
            # What was proved with another stock does not hold of this one.
            newest = max((each["stock_version"] for each in group.facts), default=0)
            kept = [each for each in group.facts if each["stock_version"] == newest]
            group = replace(group, facts=kept if group.plans <= MOST_MADE else group.facts)
            if quote.price_only and not group.facts:
                group = replace(group, facts=self._quotes.facts_known(group.content))
            stop = group.failed is not None or group.plans > MOST_MADE or (quote.price_only and bool(group.facts))
            wanted = () if stop else prices_of(quote, group).next_quantities()
            again: list[PriceFacts] = []
            for quantity in wanted:
                document = {**json.loads(group.request), "quantity": quantity}
                before = self._jobs.answered(content_of(document, version, date.today()))
                if before is not None and before.plan is not None and before.plan["stock_version"] >= newest:
                    again.append(price_facts(before.plan, quantity, before.id))
                else:
                    jobs.append(_job(quote, group, document))
                    group = replace(group, under_way={**(group.under_way or {}), str(quantity): jobs[-1].id})
            group = replace(group, facts=[*group.facts, *map(kept_facts, again)])
            if jobs or not wanted:
                break
        written = self._quotes.take_further(quote.id, group, jobs, not jobs)
        if written:
            for job in jobs:
                self._runner.submit(job)
            self._under_way |= {job.id for job in jobs}
            self._news.changed(quote.id)
        return written


def _job(quote: KeptQuote, group: KeptGroup, document: Mapping[str, Any]) -> Job:
    text = json.dumps(document, ensure_ascii=False, separators=(",", ":"))
    stored = document["weldment"].get("stored") or {}
    return Job(
        secrets.token_hex(8), "queued", quote.created_at, text, tuple(group.warnings),
        priority=quote.priority + bool(group.plans),  # a group that is begun goes first: its lines are told sooner

        name=group.weldment, asked_by=quote.asked_by, quote=quote.id,
        weldment=stored.get("id"), weldment_version=stored.get("version"),
    )  # fmt: skip


def _why(job: Job | None) -> str:
    if job is None:
        return "a plan it needs is no longer kept"
    if job.failure is not None:
        return f"a plan it needs failed: {job.failure.detail}"
    return "a plan it needs was cancelled"
