"""Changed rules held against 1,000 stored plans: from the database to the totals, on either database: CPU seconds, and wall clock."""

from __future__ import annotations

import tempfile
import time
from collections.abc import Sequence
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

from inventory.store import open_store
from service.demo import job_document, stock_document
from service.documents import plan_document, read_request, read_stock
from service.documents.rescoring.kept_score import score_text
from service.records.job import Job, WantedJobs
from service.records.jobs import JobRecords
from service.rescoring.effects import effects
from solver.cost import priced
from solver.deadline import Deadline
from solver.planning import plan
from solver.rescoring.score import PlanScore
from solver.rescoring.scoring import plan_score
from solver.rule_book.book import RuleBook
from tests.databases import KINDS, new_database
from tests.shelf import READERS

JOBS = ("hinge-lug", "hinge-tab")
PLANS = 1000
ASKED: Sequence[dict[str, float]] = (
    {"rate.labour_cents_per_hour": 6100.0},
    {"clear.weld": 18.0},
    {"rate.labour_cents_per_hour": 6100.0, "clear.weld": 18.0, "hold.handling_n": 120.0},
)


def report(plans: int, kinds: Sequence[str] = KINDS) -> None:
    """Print how long each question takes, three times over."""
    made = [_scored(name) for name in JOBS]
    for kind in kinds:
        with tempfile.TemporaryDirectory() as folder:
            store = open_store(new_database(kind, Path(folder)), READERS)
            records = JobRecords(store, "measured", 1, 1).create()
            for k in range(plans):
                score, document = made[k % len(made)]
                at = datetime(2027, 1, 1, tzinfo=UTC) + timedelta(seconds=k)
                records.add(Job(f"{k:016x}", "done", at, "{}", finished_at=at, plan=document), None, "", plans)
                records.keep_score(f"{k:016x}", score_text(_of_quantity(score, 10 + k)))
            for rules in ASKED:
                taken = []
                for _ in range(3):
                    began, busy = time.perf_counter(), time.process_time()
                    jobs = records.scored(WantedJobs(), None, plans)
                    found = effects(jobs, rules, all_shown=False)
                    taken.append(f"{time.process_time() - busy:.2f} s ({time.perf_counter() - began:.2f} s)")
                print(f"{kind}: {found.totals.plans} plans, {', '.join(rules)}: {', '.join(taken)}")
            store.close()


def _scored(name: str) -> tuple[PlanScore, dict[str, object]]:
    stock = read_stock(stock_document())
    request = replace(read_request(job_document(name), stock)[0], alternatives=3)
    found = plan(request, stock, deadline=Deadline(lambda: 600.0))
    return plan_score(request, stock, found), plan_document(found)


def _of_quantity(score: PlanScore, quantity: int) -> PlanScore:
    """Return the score of the same fixtures for another quantity."""
    rules, alternatives = RuleBook(dict(score.rules)), []
    for each in score.alternatives:
        bill = replace(each.bill, quantity=quantity)
        cost, setup_s, cycle_s = priced(bill, rules)
        alternatives.append(replace(each, bill=bill, cost=cost, setup_s=setup_s, cycle_s=cycle_s))
    return PlanScore(score.rules, tuple(alternatives))
