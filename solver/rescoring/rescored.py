"""Scored plans under other rules: prices to the cent, the ranking, the limits that are not kept."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import combinations

from solver.cost import priced
from solver.plans import Cost
from solver.rescoring.limits import KINDS
from solver.rescoring.limits.limit_kind import Trespass
from solver.rescoring.score import PlanScore, Score
from solver.rule_book import BY_NAME, VALUES
from solver.rule_book.book import RuleBook
from solver.rule_book.record import Rule

KIT_PIECES, LIFTING = "alternatives.kit_pieces", "lift.one_person_kg"
PRICES = "cost."
"""Codes of the checker's findings on a price start so."""


def is_money(rule: Rule) -> bool:
    """Return whether a rule's number is a time, a rate or a weight: it moves prices and nothing else."""
    return bool(rule.checked_as) and all(code.startswith(PRICES) for code in rule.checked_as)


def is_read(rule: Rule) -> bool:
    """Return whether anything of a plan depends on a rule's number."""
    return bool(rule.if_broken or rule.checked_as)


MONEY = tuple(name for name in VALUES if is_money(BY_NAME[name]))
"""The rules that move prices."""


@dataclass(frozen=True, slots=True)
class Rescored:
    """An alternative under other rules.

    `broken` are the limits it does not keep, `unjudged` those of which only a check of the whole plan tells. `rank` is its new
    one among those that are not known to be broken; None if it is.
    """

    score: Score
    cost: Cost
    setup_s: int
    cycle_s: int
    broken: tuple[Trespass, ...] = ()
    unjudged: tuple[Trespass, ...] = ()
    rank: int | None = None

    @property
    def allowed(self) -> bool | None:
        """Whether the rules allow it; None if that cannot be said."""
        return False if self.broken else None if self.unjudged else True

    @property
    def difference_cents(self) -> int:
        """How much more it costs, cents."""
        return self.cost.total_cents - self.score.cost.total_cents


@dataclass(frozen=True, slots=True)
class RescoredPlan:
    """A plan under other rules: which differ from its own, from what to what, and its alternatives in their old order."""

    changed: Mapping[str, tuple[float, float]]
    alternatives: tuple[Rescored, ...]

    @property
    def first(self) -> Rescored | None:
        """The alternative that is first now; None if none is allowed."""
        return next((each for each in self.alternatives if each.rank == 1), None)

    @property
    def first_changes(self) -> bool:
        """Whether another alternative comes first, or none."""
        return bool(self.alternatives) and (self.first is None or self.first.score.rank != self.alternatives[0].score.rank)

    @property
    def ranking_changes(self) -> bool:
        """Whether any alternative has another rank."""
        return any(each.rank != each.score.rank for each in self.alternatives)


def rescored(plan: PlanScore, rules: Mapping[str, float]) -> RescoredPlan:
    """Return a plan under other rules.

    Parameters
    ----------
    rules : mapping
        The numbers that are to differ, by name; every other rule keeps the plan's own.

    Raises
    ------
    InvalidDocument
        A number is out of its legal range, or a rule is not known.
    """
    before = _book(tuple(sorted((name, value) for name, value in plan.rules.items() if name in VALUES)))
    after = _book(tuple(sorted({**before.changes, **rules}.items())))
    changed = {name: (before[name], after[name]) for name in rules if before[name] != after[name]}
    found = [_rescored(score, before, after, changed) for score in plan.alternatives]
    if KIT_PIECES in changed:
        found = _apart(found, after[KIT_PIECES])
    order = sorted((each for each in found if not each.broken), key=lambda each: (each.cost.total_cents, each.score.rank))
    ranks = {each.score.rank: rank for rank, each in enumerate(order, 1)}
    return RescoredPlan(changed, tuple(replace(each, rank=ranks.get(each.score.rank)) for each in found))


@lru_cache(maxsize=64)
def _book(numbers: tuple[tuple[str, float], ...]) -> RuleBook:
    """Return a rule book; most plans of a shop were made with the same one."""
    return RuleBook(dict(numbers))


def _rescored(score: Score, before: RuleBook, after: RuleBook, changed: Mapping[str, tuple[float, float]]) -> Rescored:
    if any(name in changed for name in MONEY):
        cost, setup_s, cycle_s = priced(score.bill, after)
    else:
        cost, setup_s, cycle_s = score.cost, score.setup_s, score.cycle_s
    trespasses = (*judged(score, before, after, changed), *_unknown(score, changed))
    broken = tuple(each for each in trespasses if each.ground == "broken")
    return Rescored(score, cost, setup_s, cycle_s, broken, tuple(each for each in trespasses if each.ground == "unjudged"))


def _unknown(score: Score, changed: Mapping[str, object]) -> Iterator[Trespass]:
    for rule in score.unknown:
        if rule in changed:
            yield Trespass(rule, why="how many pieces of its items were free when it was made is not known any more")


def judged(score: Score, before: RuleBook, after: RuleBook, changed: Mapping[str, object]) -> Iterator[Trespass]:
    """Yield the limits that an alternative does not keep once some rules are changed, and those that cannot be judged."""
    kinds = [kind for kind in KINDS if any(rule in changed for rule in kind.rules)]
    for variant, measured in score.measured.items():
        about = f"variant {variant}: " if variant else ""
        for kind in kinds:
            found = kind.judge(measured.get(kind.name, ()), before, after)
            yield from (replace(each, subject=about + each.subject) for each in found) if about else found


def _apart(found: Sequence[Rescored], pieces: float) -> list[Rescored]:
    """Return alternatives, the dearer of two that no longer differ by enough pieces as one that is not shown."""
    alike: dict[int, Trespass] = {}
    for one, other in combinations([each.score for each in found], 2):
        beside = (one.table, one.down) == (other.table, other.down)
        items = {*one.kit, *other.kit}
        count = sum(abs(one.kit.get(item, 0) - other.kit.get(item, 0)) for item in items)
        if beside and one.rank not in alike and count < pieces:
            alike.setdefault(other.rank, Trespass(KIT_PIECES, f"{one.rank} {other.rank}", count, pieces, "pieces"))
    return [replace(each, broken=(*each.broken, alike[each.score.rank])) if each.score.rank in alike else each for each in found]
