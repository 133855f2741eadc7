"""A rule that nothing reads is no rule: planner and checker read every number of the book while small jobs are planned."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import get_args

from solver.quotes import OtherWays
from solver.rule_book import BY_NAME, RULES, VALUES
from solver.rule_book.book import RuleBook
from solver.weldment import Material
from tests import builders as b
from tests.solver.rule_book.conftest import Notes

ROOT = Path(__file__).parents[3]
OF_QUOTES = {"compare.mark_out_s", "compare.mark_out_error", "compare.dedicated_hours", "compare.dedicated_material_cents"}
"""What a fixture is compared by in a quote: no plan goes by them, so neither planner nor checker reads them."""


def read_by(notes: Notes, checker: bool) -> set[str]:
    return {name for reader, names in notes.reads.items() if (reader == "solver.checks") == checker for name in names}


def sources() -> Iterator[Path]:
    for package in ("inventory", "solver", "service"):
        yield from (path for path in (ROOT / package).rglob("*.py") if "rule_book" not in path.parts)


def test_the_planner_reads_every_number(notes: Notes) -> None:
    assert set(VALUES) - read_by(notes, checker=False) == OF_QUOTES


def test_the_checker_reads_every_number_for_itself(notes: Notes) -> None:
    assert set(VALUES) - read_by(notes, checker=True) == OF_QUOTES


def test_quotes_read_what_a_fixture_is_compared_by() -> None:
    read: list[str] = []

    class Noted(RuleBook):
        def __getitem__(self, name: str) -> float:
            read.append(name)
            return super().__getitem__(name)

    asked = b.request(b.tab_on_tube())
    OtherWays.of(replace(asked, rules=Noted()))
    assert {name for name in read if name.startswith("compare.")} == OF_QUOTES


def test_every_material_has_its_density_and_its_yield() -> None:
    wanted = {f"material.{name}_{what}" for name in get_args(Material) for what in ("kg_per_m3", "yield_mpa")}
    assert {name for name in VALUES if name.startswith("material.")} == wanted


def test_every_rule_that_a_package_names_has_a_record() -> None:
    groups = {rule.group for rule in RULES} - {"not_computed", "search"}
    named = re.compile(r'"(' + "|".join(sorted(groups)) + r')\.([a-z_0-9]+)[ "]')
    found = {
        f"{group}.{name}" for path in sources() if "demo" not in path.parts
        for group, name in named.findall(path.read_text(encoding="utf-8"))
    }  # fmt: skip
    others = {"locate.lattice", "table.hole", "plan.done", "variants.mirror", "variants.shift"}
    # `plan.done` is an event that webhooks are told of, the last two are codes of what a plan leaves out
    assert {name for name in found - set(BY_NAME) if not name.endswith((".json", ".csv"))} == others
