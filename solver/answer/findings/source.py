"""What the findings of an alternative are made from, and how their texts name the source of a limit."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

from solver.answer.chosen_fixture import ChosenFixture
from solver.model.choice import Refusal
from solver.model.holding import Holding
from solver.plans import Alternative, Finding
from solver.rule_book import VALUES
from solver.rule_book.book import RuleBook
from solver.rule_book.record import OWN_CHOICE
from solver.statics import ContactSystem


@dataclass(frozen=True)
class FindingSource:
    """One checked alternative: its seat and the position's statics, what the checker found, and what was refused before it.

    `refusals` are choices that cost no more and were refused; `thorough` asks for what only the best answer is worth.
    """

    fixture: ChosenFixture
    holding: Holding
    alternative: Alternative
    checked: Sequence[Finding]
    refusals: Sequence[Refusal] = ()
    thorough: bool = True

    @property
    def rules(self) -> RuleBook:
        """The rule book of the request."""
        return self.fixture.problem.laid.rules

    @cached_property
    def forces(self) -> ContactSystem:
        """Contacts and clamps of the choice."""
        return self.holding.forces.chosen(self.fixture.choice.candidates)

    @cached_property
    def part_ids(self) -> list[str]:
        """Ids of the parts by index."""
        return [part.id for part in self.fixture.problem.laid.parts]


def limit_from(rule: str) -> str:
    """Return where the limit of a rule comes from, for the end of a finding's text."""
    source = VALUES[rule].source if rule in VALUES else OWN_CHOICE
    return f"; limit: {source}" if source != OWN_CHOICE else ""
