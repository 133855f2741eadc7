"""Every finding is named by a rule of the rule book or by a code of the checker, and every code is used."""

from __future__ import annotations

import re
from pathlib import Path

import solver.checks
from solver.checks import check
from solver.plans import Cost
from solver.rule_book import RULES, VALUES
from tests.solver.checks import tab_job as job

FOLDER = Path(solver.checks.__file__).parent
SOURCE = "\n".join(path.read_text() for path in sorted(FOLDER.glob("**/*.py")))
CODES = {rule.name for rule in RULES if rule.if_broken}
BUILT = {f"cost.{name}" for name in Cost.__dataclass_fields__} | {"torch.free", "hand.free"}
"""Names put together as the checker runs."""


def test_names_in_the_checker_are_rules_or_codes() -> None:
    named = {name for name in re.findall(r'"([a-z_]+\.[a-z_0-9]+)"', SOURCE) if not name.endswith(".md")}
    assert named - set(VALUES) - CODES == set()


def test_every_code_is_used() -> None:
    assert [code for code in sorted(CODES) if f'"{code}"' not in SOURCE and code not in BUILT] == []


def test_a_valid_plan_is_examined_under_every_heading() -> None:
    headings = {finding.rule.split(".")[0] for finding in check(job.request(), job.stock(), job.plan()).findings}
    assert headings >= {
        "lie", "solids", "placement", "pegs", "stock", "kit", "clear", "apart", "fit", "contacts", "locate", "clamp", "hold",
        "stack", "open_dimensions", "torch", "hand", "load", "way", "cost", "alternatives", "plan",
    }  # fmt: skip
