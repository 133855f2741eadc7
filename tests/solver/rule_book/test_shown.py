"""What a record says of findings is what findings do: nothing is shown without a record, no record promises what is not shown."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from pathlib import Path

import solver.answer.findings
from solver.answer.findings.all import findings
from solver.plans import Finding
from solver.rule_book import BY_NAME, RULES
from solver.rule_book.record import Rule
from tests.solver.rule_book.conftest import Notes

FOLDER = Path(solver.answer.findings.__file__).parent
SOURCE = "\n".join(path.read_text(encoding="utf-8") for path in sorted(FOLDER.glob("*.py")))


def unshown(records: Iterable[Rule], notes: Notes) -> set[str]:
    """The records with a finding that is neither copied from the checker, nor made here, nor named by what makes findings."""
    records = list(records)
    checked = [Finding(rule.name, "post", 1.0, 2.0, "mm", True, "checked") for rule in records if rule.if_broken]
    copied = {finding.rule for finding in findings(replace(notes.sources[0], checked=checked)) if finding.subject == "post"}
    made = {finding.rule for finding in notes.findings}
    return {
        rule.name for rule in records
        if rule.finding is not None and rule.name not in copied | made and f'"{rule.name}"' not in SOURCE
    }  # fmt: skip


def test_every_finding_has_a_record_that_says_how_it_is_shown(notes: Notes) -> None:
    assert notes.findings
    assert {finding.rule for finding in notes.findings if BY_NAME[finding.rule].finding is None} == set()


def test_every_record_with_a_finding_is_shown(notes: Notes) -> None:
    assert unshown(RULES, notes) == set()


def test_a_record_whose_finding_nothing_shows_is_seen(notes: Notes) -> None:
    promised = Rule("clear.spatter", "hardware stays clear of spatter", finding=BY_NAME["clear.weld"].finding)
    assert unshown([*RULES, promised], notes) == {"clear.spatter"}


def test_findings_of_a_group_are_read_in_the_order_of_their_places(notes: Notes) -> None:
    shown = ["locate.support_margin", "locate.side_spacing_ratio", "locate.condition_max", "clamp.per_length"]
    rules = list(dict.fromkeys(finding.rule for finding in notes.findings))
    assert [rule for rule in rules if rule in shown] == shown
