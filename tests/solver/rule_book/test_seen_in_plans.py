"""Seen while small jobs are planned: every number of the rule book is read, every finding shown, every family of rows a demand.

One file, for what they look at is planned once a file.
"""

from __future__ import annotations

import ast
import re
from collections.abc import Iterable, Iterator
from dataclasses import replace
from pathlib import Path
from typing import get_args

import solver.answer.findings
import solver.model
from solver.answer.findings.all import findings
from solver.model.program import DEFINING, PRICING
from solver.plans import Finding
from solver.quotes import OtherWays
from solver.rule_book import BY_NAME, RULES, VALUES
from solver.rule_book.book import RuleBook
from solver.rule_book.record import Rule
from solver.weldment import Material
from tests import builders as b
from tests.solver.rule_book.conftest import Notes

ROOT = Path(__file__).parents[3]
OF_QUOTES = {"compare.mark_out_s", "compare.mark_out_error", "compare.dedicated_hours", "compare.dedicated_material_cents"}
"""What a fixture is compared by in a quote: no plan goes by them, so neither planner nor checker reads them."""

MODEL = Path(solver.model.__file__ or "").parent
FOLDER = Path(solver.answer.findings.__file__).parent
SOURCE = "\n".join(path.read_text(encoding="utf-8") for path in sorted(FOLDER.glob("*.py")))

BETWEEN_ALTERNATIVES = {"alternatives.kit_pieces"}
"""Asked only of a further alternative, never of a plan that is refused."""


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


def named_by_the_model() -> set[str]:
    """Return the rules that the model's code names other than to read their numbers: those its rows ask."""
    found: set[str] = set()
    for path in MODEL.rglob("*.py"):
        tree = ast.parse(path.read_text(encoding="utf-8"))
        read = {id(node.slice) for node in ast.walk(tree) if isinstance(node, ast.Subscript)}
        texts = [node.value for node in ast.walk(tree) if isinstance(node, ast.Constant) and id(node) not in read]
        found |= {text.split(" ")[0] for text in texts if isinstance(text, str) and text.split(" ")[0] in BY_NAME}
    return found


def test_every_family_of_rows_is_a_demand_with_a_turn_and_a_sentence(notes: Notes) -> None:
    """Stock's sentence is that of a missing piece, whoever finds it missing."""
    asked = (notes.families | named_by_the_model()) - set(PRICING) - set(DEFINING) - BETWEEN_ALTERNATIVES
    assert {"clamp.per_length", "locate.side", "stock.counted", "table.max_load", "locate.opposed", "way.in"} <= asked
    for family in asked:
        hindrance = BY_NAME[family].hindrance
        assert hindrance is not None and hindrance.turn is not None, family
        assert hindrance.sentence or family == "stock.counted", family
