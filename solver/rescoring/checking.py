"""The second, slower look: a whole alternative checked by the independent checker under other rules, without solving."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from inventory.stock import StockSnapshot
from solver.checks import check_alternative
from solver.plans import Alternative, Finding
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
    steps = tuple(replace(step, hold_by_hand=None, mass_kg=None, heavy=None) for step in alternative.load)
    stations = tuple(replace(each, unload=replace(each.unload, mass_kg=None, heavy=None)) for each in alternative.stations)
    whole = replace(alternative, cost=found.cost, setup_s=found.setup_s, cycle_s=found.cycle_s, load=steps, stations=stations)
    asked = replace(request, rules=RuleBook({**request.rules.changes, **rules}, request.rules.base, request.rules.version))
    return check_alternative(asked, stock, whole)
