"""Every code that reasons and findings use is on the page of codes, once."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from solver.checks.codes import CODES
from solver.explain.codes import REASONS, REMEDIES, Code, findings

from solver.explain.repairs import PERMISSIVE, SUSPECTS
from solver.rule_book.book import BY_NAME

SOLVER = Path(__file__).parents[3] / "solver"
GROUPS = {name.split(".")[0] for name in (*(code.name for code in REASONS), *REMEDIES)}
DOTTED = re.compile(r'"([a-z_]+)\.([a-z_0-9]+)[ "]')
NOT_CODES = {"lie.down", "table.hole"}


def used(folder: str) -> set[str]:
    """Dotted names in the code of a folder that look like codes."""
    found = {
        f"{group}.{name}" for path in (SOLVER / folder).glob("*.py") if path.name != "codes.py"
        for group, name in DOTTED.findall(path.read_text(encoding="utf-8"))
    }  # fmt: skip
    return {name for name in found if name.split(".")[0] in GROUPS} - NOT_CODES


@pytest.mark.parametrize("codes", [REASONS, findings()], ids=["reasons", "findings"])
def test_every_code_is_listed_once_with_a_remedy(codes: list[Code]) -> None:
    names = [code.name for code in codes]
    assert len(names) == len(set(names))
    assert all(code.meaning and code.remedy for code in codes)


def test_every_finding_of_the_checker_is_listed_or_a_rule() -> None:
    assert set(CODES) <= set(REMEDIES)
    assert used("checks") - set(REMEDIES) - set(BY_NAME) == set()


def test_every_reason_is_listed_or_a_rule() -> None:
    families = used("model/families") - {"alternatives.differ_by"}
    assert (used("explain") | families) - {code.name for code in REASONS} - set(BY_NAME) == set()


def test_rules_worth_relaxing_are_rules_within_their_range() -> None:
    for name, value in PERMISSIVE.items():
        assert BY_NAME[name].low <= value <= BY_NAME[name].high
    assert {rule for rules in SUSPECTS.values() for rule in rules} <= set(PERMISSIVE)
