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
    stations,
    stock,
    times,
    torch,
    variants,
    ways,
    weldment,
)
from solver.rule_book.record import Display, Group, Hindrance, RelaxationLimit, Rule, Topic, Value

TOPICS: tuple[Topic, ...] = (
    Topic("Weldment", "the weldment as it was drawn: parts that overlap, open dimensions", weldment.RULES),
    Topic("Locating", "supports, side and end points, how well they hold a part square and how true they are", locating.RULES),
    Topic("Clamping", "how many clamps, over what and against what they press, and how hard", clamping.RULES),
    Topic("Holding", "friction, pushes and pulls that are resisted, and how far locators give", holding.RULES),
    Topic("Clearance", "distances between hardware, welds, parts and the table's edge", clearance.RULES),
    Topic("Torch and hand", "their envelopes, the angles of a weld, samples and tacks", torch.RULES),
    Topic("Ways", "ways in and out, the order of loading, and lifting by hand", ways.RULES),
    Topic("Times and labour", "times of setting up and of a cycle, and what an hour costs", times.RULES),
    Topic(
        "Comparing", "marking out by hand and a dedicated fixture: accepted and documented, used by nothing yet", comparing.RULES
    ),
    Topic(
        "Preferences",
        "what is preferred at a price: pieces that stay, fewer settings, scarce pieces left; and how alternatives differ",
        preferences.RULES,
    ),
    Topic("Materials", "density and yield of each material, from the published values", materials.RULES),
    Topic("Stock", "counted stock and the tables", stock.RULES),
    Topic("Stations", "several equal stations on one table", stations.RULES),
    Topic("Pieces asked for", "pieces an alternative must contain, and pieces it may not", asked_pieces.RULES),
    Topic("Variants", "what several weldments on one set-up have in common", variants.RULES),
    Topic("Search", "the ends of a search that prove nothing", search.RULES),
    Topic(
        "Estimates",
        "what is reported beside the checks: shrinkage that is proposed, and what no number stands for",
        estimates.RULES,
    ),
    Topic(
        "Soundness", "codes of the independent checker alone: whether a plan is sound, complete and adds up", checker_codes.RULES
    ),
)
"""The rules by what they are about, in the order they are read."""
RULES: tuple[Rule, ...] = tuple(rule for topic in TOPICS for rule in topic.rules)
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
