"""What would help: repairs that were tried, each with the complete plan it leads to.

Pieces to buy come from planning with every item of the catalogue at its price, cheapest first, then again with what was
bought barred, for another way. Rules to relax are tried one at a time as far as the rule book lets them be, then halved
back towards the rule as it stands. Another side down or another table is tried as it is. Nothing is offered untried.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import get_args

from inventory.stock import StockSnapshot
from solver.cost import fixtures_on_table
from solver.deadline import Deadline
from solver.explain.trials import Trial, Write, relaxed
from solver.plans import Permission, Purchase, PurchaseLine, Relaxation
from solver.request import Down, Request
from solver.rule_book import RELAXED, hindrance_of
from solver.search.search import Search

MOST_PURCHASES = 3
HALVINGS = 2
FIRST_SHARE = 0.6
"""Share of the time for purchases that the cheapest one gets."""


@dataclass(frozen=True)
class RepairSearch:
    """All a repair needs to be tried: the search that found nothing, who writes plans, and when it must end."""

    search: Search
    write: Write
    deadline: Deadline

    @property
    def request(self) -> Request:
        """The request as it was asked."""
        return self.search.request

    @property
    def stock(self) -> StockSnapshot:
        """The shelf as it is."""
        return self.search.stock

    def trial(self, request: Request) -> Trial:
        """Return a changed request to plan."""
        return Trial(request, self.stock, self.write, self.search if self.search.tried else None)


def purchases(repairs: RepairSearch, seconds: float) -> Iterator[Purchase]:
    """Yield the cheapest ways to buy what is missing, as long as the seconds last."""
    ends = repairs.deadline.within(seconds)
    again = repairs.trial(replace(repairs.request, shortage="price", alternatives=1))
    deadline = ends.within(FIRST_SHARE * seconds)
    bought: set[str] = set()
    for _ in range(MOST_PURCHASES):
        if deadline.over:
            return
        alternative = again.cheapest(deadline, first=False, without_buying=bought)
        lines = [] if alternative is None else [line for line in alternative.kit if line.buy]
        if alternative is None or not lines:
            return
        lines.sort(key=lambda line: (-repairs.stock.items[line.item].price_cents * line.buy, line.item))
        entries = [PurchaseLine(line.item, line.buy, line.buy * repairs.stock.items[line.item].price_cents) for line in lines]
        yield Purchase(tuple(entries), alternative)
        bought |= {line.item for line in lines}
        deadline = ends.leaving(0.5)


def relaxations(repairs: RepairSearch, rules: Sequence[str]) -> Iterator[Relaxation]:
    """Yield rules that make a plan possible if they ask for less, one at a time."""
    for k, rule in enumerate(rules):
        if repairs.deadline.over:
            return
        given, most = repairs.request.rules[rule], RELAXED[rule].most
        share = repairs.deadline.seconds_left() / max(1.5, len(rules) - k)
        alternative = repairs.trial(relaxed(repairs.request, rule, most)).cheapest(repairs.deadline.within(share), first=True)
        if alternative is None:
            continue
        worked = (most, alternative)
        stays, goes = given, most
        for _ in range(HALVINGS):
            if repairs.deadline.seconds_left() <= share / 2:
                break
            middle = float(f"{(stays + goes) / 2:.3g}")
            nearer = repairs.trial(relaxed(repairs.request, rule, middle)).cheapest(
                repairs.deadline.within(share / 2), first=True
            )
            if nearer is None:
                stays = middle
            else:
                goes, worked = middle, (middle, nearer)
        yield Relaxation(rule, given, *worked)


def permissions(repairs: RepairSearch) -> Iterator[Permission]:
    """Yield other tables and other sides down, not allowed so far, and the most stations less, that make a plan possible."""
    request = repairs.request
    tables = [name for name in sorted(repairs.stock.tables) if name not in request.tables]
    sides = [side for side in get_args(Down) if side not in request.down]
    tries = [("tables", ", ".join(request.tables), name, replace(request, tables=(name,))) for name in tables]
    tries += [("lie.down", ", ".join(request.down), side, replace(request, down=(side,))) for side in sides]
    for k, (what, given, other, changed) in enumerate(tries):
        if repairs.deadline.over:
            return
        share = repairs.deadline.seconds_left() / max(1.5, len(tries) - k)
        alternative = repairs.trial(changed).cheapest(repairs.deadline.within(share), first=True)
        if alternative is not None:
            yield Permission(what, given, other, alternative)
    stations = fixtures_on_table(request)
    for fewer in range(stations - 1, 0, -1):
        share = repairs.deadline.seconds_left() / max(1.5, fewer)
        alternative = repairs.trial(replace(request, stations=fewer)).cheapest(repairs.deadline.within(share), first=True)
        if alternative is not None:
            yield Permission("stations", str(stations), str(fewer), alternative)
            return


def worth_relaxing(request: Request, rules: Sequence[str]) -> list[str]:
    """Return the rules to try: those the reasons point at (all, if there are no reasons) that do not allow as much already."""
    named = [suspect for rule in rules for suspect in hindrance_of(rule).suspects or (rule,)]
    wanted = [rule for rule in dict.fromkeys(named or RELAXED) if rule in RELAXED]
    return [rule for rule in wanted if not RELAXED[rule].allows(request.rules[rule])]
