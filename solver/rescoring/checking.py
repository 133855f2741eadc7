"""The second, slower look: a whole alternative checked by the independent checker under other rules, without solving."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from inventory.stock import StockSnapshot
from solver.checks import check_alternative
from solver.plans import Alternative, Finding, LoadStep, Station
from solver.request import Request
from solver.rescoring.rescored import Rescored
from solver.rule_book.book import RuleBook


def checked_anew(
    request: Request, stock: StockSnapshot, alternative: Alternative, found: Rescored, rules: Mapping[str, float]
) -> tuple[Finding, ...]:
    """Return the checker's findings on an alternative under other rules, at the price it was found to have.

    What the alternative says of hands and masses in its load steps is about its own rules: the checker is not asked about it.

    Parameters
    ----------
    found : Rescored
        The alternative under those rules; its price and times are checked too.
    rules : mapping
        The numbers that differ from the request's, by name.
    """
    asked = replace(request, rules=RuleBook({**request.rules.changes, **rules}, request.rules.base, request.rules.version))
    bill = found.score.bill
    rates = bill.tariff(asked.rules)
    variants = tuple(
        replace(
            each,
            reset_s=run.reset_s(rates, asked.rules),
            cycle_s=run.cycle_s(rates),
            load=_unsaid(each.load),
            station=_unmeasured(each.station),
        )
        for each, run in zip(alternative.variants, bill.runs, strict=True)
    )
    whole = replace(
        alternative,
        cost=found.cost,
        setup_s=found.setup_s,
        cycle_s=found.cycle_s,
        load=_unsaid(alternative.load),
        stations=tuple(_unmeasured(each) for each in alternative.stations),
        variants=variants,
    )
    return check_alternative(asked, stock, whole)


def _unsaid(load: Sequence[LoadStep]) -> tuple[LoadStep, ...]:
    return tuple(replace(step, hold_by_hand=None, mass_kg=None, heavy=None) for step in load)


def _unmeasured(station: Station) -> Station:
    return replace(station, unload=replace(station.unload, mass_kg=None, heavy=None))
