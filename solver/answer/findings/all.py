"""What is reported about an alternative: every check's number with its limit and source, and what was not computed.

The independent checker's numbers come first; beside them stand those that only the planner has: how near a load comes to
moving a part, how far a locator gives, what decided. A group that cannot be computed says so and never costs the plan.
"""

from __future__ import annotations

import logging
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from typing import get_args

from solver.answer.findings.accuracy import points, shrinkage
from solver.answer.findings.clearances import weld_clearances
from solver.answer.findings.holding import by_hand, decided, loads, reactions
from solver.answer.findings.source import FindingSource, limit_from
from solver.answer.findings.ways import ways
from solver.deadline import DeadlinePassed, look
from solver.plans import Finding
from solver.rule_book import shown_in
from solver.rule_book.estimates import NOT_COMPUTED
from solver.rule_book.record import Display, Group

log = logging.getLogger(__name__)


def findings(source: FindingSource) -> tuple[Finding, ...]:
    """Return the findings of an alternative in the order they are read."""
    computed: Mapping[Group, Callable[[FindingSource], Iterable[Finding]]] = {
        "what decided": decided,
        "locating error": points,
        "holding": loads,
        "locators' reactions and deflections": reactions,
        "loading by hand": by_hand,
        "ways": ways,
        "lifting": _lifting,
        "distances to welds": weld_clearances,
        "shrinkage": shrinkage,
        "what is not computed": _not_computed,
    }
    found: list[Finding] = []
    for group in get_args(Group):
        look()
        try:
            found += list(computed[group](source) if group in computed else _checked(source, group))
        except DeadlinePassed:
            raise
        except Exception as error:  # a finding is worth less than a plan: the plan is kept and says what is missing
            log.exception("a plan's findings on %s could not be computed", group)
            text = f"could not be computed: {type(error).__name__}: {error}"
            found.append(Finding("not_computed", group, None, None, "", True, text))
    return tuple(found)


def _checked(source: FindingSource, group: Group) -> Iterator[Finding]:
    """Yield the checker's findings on the rules of a group, as their records have them shown."""
    for rule, shown in shown_in(group):
        entries = [entry for entry in source.checked if entry.rule == rule.name]
        yield from _numbers(entries, shown) if shown.number else _kept(entries, shown)


def _numbers(entries: Sequence[Finding], shown: Display) -> Iterator[Finding]:
    """Yield the checker's findings on a rule, each with what was computed and the limit's source."""
    for entry in entries:
        text = f"{shown.words}: {entry.text}" if shown.words and entry.text else shown.words or entry.text
        yield replace(entry, text=text + limit_from(entry.rule))


def _kept(entries: Sequence[Finding], shown: Display) -> Iterator[Finding]:
    """Yield one finding for a rule that holds without a number."""
    if entries:
        rule, count = entries[0].rule, len(entries)
        text = f"{shown.words} ({count} checked){limit_from(rule)}" if count > 1 else shown.words + limit_from(rule)
        yield Finding(rule, entries[0].subject if count == 1 else "weldment", None, None, "", True, text)


def _lifting(source: FindingSource) -> Iterator[Finding]:
    """Yield the mass of the weldment and of its heaviest part, and of every part that one person should not lift alone."""
    limit = source.rules["lift.one_person_kg"]
    parts = source.fixture.problem.laid.all_parts
    heaviest = max(parts, key=lambda part: part.mass)
    masses = {part.id: part.mass for part in parts if part is heaviest or part.mass > limit}
    masses["weldment"] = sum(part.mass for part in parts)
    for subject, mass in masses.items():
        advice = "more than one person lifts: lift it with help" if mass > limit else "one person may lift it"
        text = f"{advice}{'; the heaviest part' if subject == heaviest.id else ''}{limit_from('lift.one_person_kg')}"
        yield Finding("lift.one_person_kg", subject, round(mass, 3), limit, "kg", True, text)


def _not_computed(_source: FindingSource) -> Iterator[Finding]:
    """Yield what no number stands for."""
    for what, text in NOT_COMPUTED.items():
        yield Finding("not_computed", what, None, None, "", True, text)
