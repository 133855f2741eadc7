"""Plans with their scores: one made by hand, one solved, and whatever rules they are held against."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cache

from inventory.stock import StockSnapshot
from service.demo import job_document, stock_document
from service.documents import read_request, read_stock
from solver.checks.scene.reading import read_alternative
from solver.deadline import Deadline
from solver.planning import plan
from solver.plans import Alternative, Finding, Plan
from solver.request import Request
from solver.rescoring.checking import checked_anew
from solver.rescoring.limits import KINDS
from solver.rescoring.rescored import Rescored, rescored
from solver.rescoring.score import PlanScore
from solver.rescoring.scoring import plan_score, score_of
from solver.rule_book import VALUES
from solver.rule_book.book import RuleBook
from tests import builders as b
from tests.solver.checks import tab_job


@dataclass(frozen=True)
class ScoredJob:
    """A plan, what it answers, and its score."""

    request: Request
    stock: StockSnapshot
    alternatives: tuple[Alternative, ...]
    score: PlanScore

    def under(self, rules: dict[str, float], rank: int = 1) -> Rescored:
        return rescored(self.score, rules).alternatives[rank - 1]

    def checked(self, rules: dict[str, float], rank: int = 1) -> tuple[Finding, ...]:
        """Return what the independent checker refuses of an alternative under other rules, at its new price."""
        found = checked_anew(self.request, self.stock, self.alternatives[rank - 1], self.under(rules, rank), rules)
        return tuple(finding for finding in found if not finding.ok)

    def numbers(self, rule: str) -> Iterator[float]:
        """Yield numbers a rule may have: its ends, some nearby, and either side of where the judgement may turn."""
        value, own, score = VALUES[rule], self.score.rules[rule], self.score.alternatives[0]
        numbers = {value.low, value.high, own * 0.5, own * 0.98, own * 1.02, own * 1.5, own + 1, own - 1}
        for kind in KINDS:
            if rule in kind.rules:
                for point in list(kind.turning_points(score.measured[""][kind.name], RuleBook(dict(self.score.rules)), rule))[:8]:
                    aside = point.beyond * 1.01 + 1e-5
                    numbers |= {point.value + step for step in (-aside, aside, -0.3, 0.3)}
        yield from (number for number in sorted(numbers) if value.low <= number <= value.high and number != own)


@cache
def by_hand() -> ScoredJob:
    """A tab on a tube with tacks, tolerances, stacks and settings, on a plan made by hand."""
    request, stock = tab_job.request(), tab_job.stock()
    alternative = read_alternative(tab_job.tab_alternative())
    score = PlanScore(request.rules.resolved(), (score_of(request, stock, alternative),))
    return ScoredJob(request, stock, (alternative,), score)


@cache
def solved() -> ScoredJob:
    """A tab on a tube and its three cheapest fixtures."""
    request, stock = b.request(b.tab_on_tube(), quantity=25, alternatives=3), b.plain_shelf()
    made: Plan = plan(request, stock, deadline=Deadline(lambda: 600.0))
    return ScoredJob(request, stock, made.alternatives, plan_score(request, stock, made))


@cache
def hinge_lug() -> ScoredJob:
    """The demo shop's main job and its three cheapest fixtures."""
    stock = read_stock(stock_document())
    request = replace(read_request(job_document("hinge-lug"), stock)[0], alternatives=3)
    made: Plan = plan(request, stock, deadline=Deadline(lambda: 600.0))
    return ScoredJob(request, stock, made.alternatives, plan_score(request, stock, made))


def without_stock_free(job: ScoredJob) -> StockSnapshot:
    """Return the job's stock with one piece of every item in use fewer."""
    lines = {name: replace(line, count=line.count - 1) for name, line in job.stock.lines.items()}
    return replace(job.stock, lines=lines)
