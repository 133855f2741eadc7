"""What would help: repairs that were tried, each with the complete plan it leads to.

Pieces to buy come from planning with every item of the catalogue at its price, cheapest first, then again with what was
bought barred, for another way. Rules to relax are tried one at a time at their most permissive sensible value, then halved
back towards the rule as it stands. Another side down or another table is tried as it is. Nothing is offered untried.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import get_args

from inventory.stock import StockSnapshot
from solver.explain.trials import Trial, Write, relaxed
from solver.plans import Permission, Purchase, PurchaseLine, Relaxation
from solver.request import Down, Request
from solver.search.search import Search

MOST_PURCHASES = 3
HALVINGS = 2
FIRST_SHARE = 0.6
"""Share of the time for purchases that the cheapest one gets."""

PERMISSIVE: dict[str, float] = {
    "clear.weld": 5,
    "clear.weld_locator": 1,
    "torch.work_tolerance": 35,
    "torch.travel_angle": 40,
    "locate.side_spacing_ratio": 0.2,
    "clamp.over_support": 100,
    "clamp.per_length": 2000,
    "clear.body": 0.2,
    "stack.deflection_max": 1,
    "hold.handling_n": 20,
    "hold.shrink_n_per_mm2": 15,
    "hold.friction": 0.3,
    "locate.support_margin": 1,
    "locate.opposed": 1,
    "locate.condition_max": 200,
    "locate.tolerance_share": 1,
    "clamp.max_part_pressure": 1,
    "clear.table_edge": 150,
}
"""The most a careful shop would still allow, by rule (practice, no source); a rule that already allows as much is not tried."""
LESS = frozenset(
    ("clear.weld", "clear.weld_locator", "clear.body", "locate.side_spacing_ratio", "locate.support_margin", "hold.handling_n",
     "hold.shrink_n_per_mm2")
)  # fmt: skip
"""Rules that ask for less the smaller they are."""
SUSPECTS: dict[str, tuple[str, ...]] = {
    "torch.shut_in": ("torch.work_tolerance", "torch.travel_angle"),
    "torch.table": ("torch.work_tolerance", "torch.travel_angle"),
    "torch.work_tolerance": ("torch.work_tolerance", "torch.travel_angle"),
    "locate.side": ("clear.weld_locator", "clear.weld", "clear.body"),
    "locate.end": ("clear.weld_locator", "clear.weld", "clear.body", "locate.opposed"),
    "locate.side_spacing_ratio": ("locate.side_spacing_ratio", "clear.weld_locator"),
    "locate.support": ("locate.support_margin", "clear.body"),
    "clamp.per_length": ("clear.weld", "clamp.per_length", "clamp.over_support", "clamp.max_part_pressure"),
    "clamp.over_support": ("clamp.over_support",),
    "hold.handling_n": ("hold.handling_n", "hold.shrink_n_per_mm2", "hold.friction", "stack.deflection_max", "locate.opposed"),
    "clear.body": ("clear.body",),
    "locate.condition_max": ("locate.condition_max",),
    "locate.tolerance_share": ("locate.tolerance_share",),
}
"""Which rules to relax first, by the rule of a reason."""


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


def purchases(shop: RepairBench, seconds: float) -> Iterator[Purchase]:
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
        entries = [PurchaseLine(line.item, line.buy, line.buy * shop.stock.items[line.item].price_cents) for line in lines]
        yield Purchase(tuple(entries), alternative)
        bought |= {line.item for line in lines}
        again.until = shop.seconds_left() - (shop.seconds_left() - ends) / 2


def relaxations(shop: RepairBench, rules: Sequence[str]) -> Iterator[Relaxation]:
    """Yield rules that make a plan possible if they ask for less, one at a time."""
    for k, rule in enumerate(rules):
        left = shop.seconds_left()
        if left <= 0 or shop.should_stop():
            return
        given, most = shop.request.rules[rule], PERMISSIVE[rule]
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
        yield Relaxation(rule, given, *worked)


def permissions(shop: RepairBench) -> Iterator[Permission]:
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
            yield Permission(what, given, other, alternative)


def worth_relaxing(request: Request, rules: Sequence[str]) -> list[str]:
    """Return the rules to try: those the reasons point at (all, if there are no reasons) that do not allow as much already."""
    named = [suspect for rule in rules for suspect in SUSPECTS.get(rule, (rule,))]
    wanted = [rule for rule in dict.fromkeys(named or PERMISSIVE) if rule in PERMISSIVE]
    return [rule for rule in wanted if not _allows(rule, request.rules[rule])]


def _allows(rule: str, value: float) -> bool:
    most = PERMISSIVE[rule]
    return value <= most if rule in LESS else value >= most
