"""Alternatives beside each other: ranks and order, kits that differ, in what each is best, and that no two read the same."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations

from inventory.stock import StockSnapshot
from solver.checks.report import at_least, at_most, fail, passed
from solver.checks.rules.counted_stock import usable
from solver.checks.rules.measures import ERROR, STIFFNESS
from solver.plans import Alternative, Finding, Trait
from solver.request import Request
from solver.rule_book.book import RuleBook

SAME = 1e-5
"""Errors (mm), stiffnesses (relative) and scarcities this near are equal."""


@dataclass(frozen=True)
class Compared:
    """An alternative with its pieces by item and what it is compared by, found anew; None where that cannot be said."""

    answer: Alternative
    kit: Counter[str]
    error_mm: float | None
    stiffness_n_per_mm: float | None
    scarcity: float

    @staticmethod
    def of(answer: Alternative, findings: Sequence[Finding], request: Request, stock: StockSnapshot) -> Compared:
        """Return an alternative, compared by what was found when it was checked."""
        value = {finding.rule: finding.value for finding in findings if finding.rule in (ERROR, STIFFNESS)}
        kit = Counter(placement.item for placement in answer.placements)
        scarcity = sum(count / max(1, usable(request, stock, item)) for item, count in kit.items())
        return Compared(answer, kit, value.get(ERROR), value.get(STIFFNESS), scarcity)


def check_ranking(request: Request, compared: Sequence[Compared]) -> Iterator[Finding]:
    """Yield whether alternatives are ranked by price, are different kits, and say truly in what each is best."""
    if request.proved_cents:
        yield passed("plan.proved", "plan", "the bound leans on an earlier plan's proof, which is not checked here")
    if 0 < len(compared) < request.alternatives:
        yield passed("alternatives.fewer", "plan", f"{len(compared)} of {request.alternatives} asked for")
    ranks = [each.answer.rank for each in compared]
    if ranks != list(range(1, len(compared) + 1)):
        yield fail("alternatives.rank", "plan", f"ranks are {ranks}, expected 1 to {len(compared)}")
    totals = [each.answer.cost.total_cents for each in compared]
    if totals != sorted(totals):
        yield fail("alternatives.rank", "plan", f"totals {totals} do not rise with the rank")
    elif compared:
        yield passed("alternatives.rank", "plan")
    for one, other in combinations(compared, 2):
        yield _differ(request.rules, one, other)
        yield from _read_alike(one.answer, other.answer)
    for each in compared:
        yield from _measured(each)
    if any(each.answer.traits for each in compared):
        yield from _traits(compared)


def _differ(rules: RuleBook, one: Compared, other: Compared) -> Finding:
    """Return whether the dearer of two alternatives leaves some piece of the cheaper, and is another kit by enough pieces."""
    rule, subject = "alternatives.kit_pieces", f"{one.answer.rank} {other.answer.rank}"
    if not one.kit - other.kit:
        return fail(rule, subject, "takes every piece of the cheaper one: no answer when some of them are gone")
    beside = (one.answer.table, one.answer.down) == (other.answer.table, other.answer.down)
    count = sum((one.kit - other.kit).values()) + sum((other.kit - one.kit).values())
    return at_least(rule, subject, count, rules[rule] if beside else 1, "pieces", "" if beside else "another table or side down")


def _read_alike(one: Alternative, other: Alternative) -> Iterator[Finding]:
    subject = f"{one.rank} {other.rank}"
    if one.title and one.title == other.title:
        yield fail("alternatives.named", subject, f"both are called {one.title!r}")
    if one.differs and one.differs == other.differs:
        yield fail("alternatives.named", subject, f"both differ alike: {one.differs!r}")


def _measured(each: Compared) -> Iterator[Finding]:
    """Yield how far the measures an alternative states are off those found anew."""
    stated = each.answer.measures
    if stated is None:
        return
    pairs = (
        (stated.pieces, sum(each.kit.values())),
        (stated.locating_error_mm, each.error_mm),
        (stated.stiffness_n_per_mm, each.stiffness_n_per_mm),
        (stated.scarcity, each.scarcity),
    )
    off = max(abs(mine - found) / max(1.0, abs(found)) for mine, found in pairs if found is not None)
    yield at_most("alternatives.measures", f"{each.answer.rank}", off, SAME, "", "measures stated against measures found")


BEST: Mapping[Trait, Callable[[Compared], float | None]] = {
    "cheapest": lambda each: each.answer.cost.total_cents,
    "fewest_pieces": lambda each: sum(each.kit.values()),
    "fastest_setup": lambda each: each.answer.setup_s,
    "fastest_cycle": lambda each: each.answer.cycle_s,
    "stiffest": lambda each: None if each.stiffness_n_per_mm is None else -each.stiffness_n_per_mm,
    "truest": lambda each: each.error_mm,
    "spares_scarce": lambda each: each.scarcity,
}
"""What is least in the alternative that has a trait."""


def _traits(compared: Sequence[Compared]) -> Iterator[Finding]:
    """Yield whether each alternative has the traits in which it is best among all, and no other."""
    wrong = []
    for trait, value in BEST.items():
        values = [value(each) for each in compared]
        known = [number for number in values if number is not None]
        for each, number in zip(compared, values, strict=True):
            best = number is not None and number <= min(known) + SAME * max(1.0, abs(min(known)))
            if best != (trait in each.answer.traits):
                wrong.append(f"{each.answer.rank} is {'' if best else 'not '}{trait}")
    if wrong:
        yield fail("alternatives.traits", "plan", "; ".join(wrong))
    else:
        yield passed("alternatives.traits", "plan")
