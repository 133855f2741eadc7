"""What would help: repairs that were tried, each with the complete plan it leads to.

Pieces to buy come from planning with every item of the catalogue at its price, cheapest first, then again with what was
bought barred, for another way. Rules to relax are tried one at a time as far as the rule book lets them be, then halved
back towards the rule as it stands. Another side down or another table is tried as it is. Nothing is offered untried.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Any, get_args

from inventory.stock import StockSnapshot
from solver.explain.trials import Trial, Write, relaxed
from solver.plans import Alternative
from solver.request import Down, Request
from solver.rule_book import RELAXED, hindrance_of
from solver.search.search import Search

MOST_PURCHASES = 3
HALVINGS = 2
FIRST_SHARE = 0.6
"""Share of the time for purchases that the cheapest one gets."""


@dataclass(frozen=True)
class RepairBench:
    """All a repair needs to be tried: the search that found nothing, who writes plans, and how long is left (s)."""

    search: Search
    write: Write
    seconds_left: Callable[[], float]
    should_stop: Callable[[], bool]

    @property
    def request(self) -> Request:
        """The request as it was asked."""
        return self.search.request

    @property
    def stock(self) -> StockSnapshot:
        """The shelf as it is."""
        return self.search.stock

    def replan(self, request: Request, seconds: float) -> Trial:
        """Return a changed request to plan, within so many seconds."""
        until = max(0.0, self.seconds_left() - seconds)
        return Trial(request, self.stock, self.write, self.seconds_left, until, self.should_stop, self.search)


def purchases(shop: RepairBench, seconds: float) -> Iterator[dict[str, Any]]:
    """Yield the cheapest ways to buy what is missing, as long as the seconds last."""
    ends = shop.seconds_left() - seconds
    again = shop.replan(replace(shop.request, shortage="price", alternatives=1), FIRST_SHARE * seconds)
    bought: set[str] = set()
    for _ in range(MOST_PURCHASES):
        if again.seconds_left() <= 0:
            return
        alternative = again.cheapest(first=False, without_buying=bought)
        lines = [] if alternative is None else [line for line in alternative.kit if line.buy]
        if alternative is None or not lines:
            return
        lines.sort(key=lambda line: (-shop.stock.items[line.item].price_cents * line.buy, line.item))
        entries = [
            {"item": line.item, "count": line.buy, "price_cents": line.buy * shop.stock.items[line.item].price_cents}
            for line in lines
        ]
        also = {"also": entries[1:]} if len(entries) > 1 else {}
        yield {"do": "buy", **entries[0], **also, **_outcome(alternative)}
        bought |= {line.item for line in lines}
        again.until = shop.seconds_left() - (shop.seconds_left() - ends) / 2


def relaxations(shop: RepairBench, rules: Sequence[str]) -> Iterator[dict[str, Any]]:
    """Yield rules that make a plan possible if they ask for less, one at a time."""
    for k, rule in enumerate(rules):
        left = shop.seconds_left()
        if left <= 0 or shop.should_stop():
            return
        given, most = shop.request.rules[rule], RELAXED[rule].most
        share = left / max(1.5, len(rules) - k)
        alternative = shop.replan(relaxed(shop.request, rule, most), share).cheapest(first=True)
        if alternative is None:
            continue
        worked = (most, alternative)
        stays, goes = given, most
        for _ in range(HALVINGS):
            if shop.seconds_left() <= share / 2:
                break
            middle = float(f"{(stays + goes) / 2:.3g}")
            nearer = shop.replan(relaxed(shop.request, rule, middle), share / 2).cheapest(first=True)
            if nearer is None:
                stays = middle
            else:
                goes, worked = middle, (middle, nearer)
        yield {"do": "relax", "rule": rule, "from": given, "to": worked[0], **_outcome(worked[1])}


def allowances(shop: RepairBench) -> Iterator[dict[str, Any]]:
    """Yield other tables and other sides down, not allowed so far, that make a plan possible."""
    request = shop.request
    tables = [name for name in sorted(shop.stock.tables) if name not in request.tables]
    sides = [side for side in get_args(Down) if side not in request.down]
    tries = [("tables", ", ".join(request.tables), name, replace(request, tables=(name,))) for name in tables]
    tries += [("lie.down", ", ".join(request.down), side, replace(request, down=(side,))) for side in sides]
    for k, (what, given, other, changed) in enumerate(tries):
        left = shop.seconds_left()
        if left <= 0 or shop.should_stop():
            return
        alternative = shop.replan(changed, left / max(1.5, len(tries) - k)).cheapest(first=True)
        if alternative is not None:
            yield {"do": "allow", "rule": what, "from": given, "to": other, **_outcome(alternative)}


def worth_relaxing(request: Request, rules: Sequence[str]) -> list[str]:
    """Return the rules to try: those the reasons point at (all, if there are no reasons) that do not allow as much already."""
    named = [suspect for rule in rules for suspect in hindrance_of(rule).suspects or (rule,)]
    wanted = [rule for rule in dict.fromkeys(named or RELAXED) if rule in RELAXED]
    return [rule for rule in wanted if not RELAXED[rule].allows(request.rules[rule])]


def _outcome(alternative: Alternative) -> dict[str, Any]:
    return {"then_total_cents": alternative.cost.total_cents, "plan": alternative.document()}
