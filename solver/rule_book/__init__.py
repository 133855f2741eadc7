"""The rule book: one record for every limit, weight, rate and price, and for every code of a reason or a finding.

The records stand in modules by topic; this is the whole list, in the order in which plans, pages and the command line have
it. Whoever shows, explains, relaxes or checks rules loops over it; nobody keeps a table of rules of his own.
"""

from __future__ import annotations

from collections.abc import Mapping

from solver.rule_book import (
    asked_pieces,
    checker_codes,
    clamping,
    clearance,
    comparing,
    estimates,
    holding,
    locating,
    materials,
    preferences,
    search,
    stock,
    times,
    torch,
    ways,
    weldment,
)
from solver.rule_book.record import Display, Group, Hindrance, RelaxationLimit, Rule, Value

RULES: tuple[Rule, ...] = (
    *weldment.RULES,
    *locating.RULES,
    *clamping.RULES,
    *holding.RULES,
    *clearance.RULES,
    *torch.RULES,
    *ways.RULES,
    *times.RULES,
    *comparing.RULES,
    *preferences.RULES,
    *materials.RULES,
    *stock.RULES,
    *asked_pieces.RULES,
    *search.RULES,
    *estimates.RULES,
    *checker_codes.RULES,
)
BY_NAME: Mapping[str, Rule] = {rule.name: rule for rule in RULES}
VALUES: Mapping[str, Value] = {rule.name: rule.value for rule in RULES if rule.value is not None}
"""The numbers, by name: what a request may change and a plan carries."""

RELAXED: Mapping[str, RelaxationLimit] = dict(
    sorted(((rule.name, rule.relaxation) for rule in RULES if rule.relaxation is not None), key=lambda entry: entry[1].place)
)
"""The rules that may be relaxed, by name, in the order in which they are tried if no reason points at any."""


def hindrance_of(name: str) -> Hindrance:
    """Return what is said and done when a rule stands in the way; KeyError if it never does."""
    found = BY_NAME[name].hindrance
    if found is None:
        raise KeyError(f"{name} is never a reason")
    return found


def reasons() -> list[tuple[Rule, Hindrance]]:
    """Return every rule that can be a reason, in the order of the list of reasons."""
    found = [(rule, rule.hindrance) for rule in RULES if rule.hindrance is not None]
    return sorted(found, key=lambda entry: entry[1].place)


def shown_in(group: Group) -> list[tuple[Rule, Display]]:
    """Return the rules that a group of findings shows, in the order they are read."""
    found = [(rule, rule.finding) for rule in RULES if rule.finding is not None and rule.finding.group == group]
    return sorted(found, key=lambda entry: entry[1].place)
