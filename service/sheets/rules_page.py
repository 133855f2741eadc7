"""The rule book as a page of the documentation: `python -m service.sheets.rules_page > docs/rules.md`."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import groupby

from solver.rules import RULES, Rule

_HEAD = """# The rule book

Every limit, weight, rate and price the solver goes by, by name. A request changes any of them under `rules.set`; a plan
carries every value it was made with. `holdwright rules` prints the same list. This page is generated:
`python -m service.sheets.rules_page > docs/rules.md`.
"""


def rules_page() -> str:
    """Return the page as Markdown, a table for each group of rules."""
    return "\n".join([_HEAD, *(_group(name, list(rules)) for name, rules in groupby(RULES, key=_group_name))])


def _group_name(rule: Rule) -> str:
    return rule.name.split(".")[0]


def _group(name: str, rules: Iterable[Rule]) -> str:
    lines = [f"## {name}", "", "| rule | default | unit | range | meaning | source |", "| --- | --- | --- | --- | --- | --- |"]
    for rule in rules:
        cells = (f"`{rule.name}`", f"{rule.default:g}", rule.unit, f"{rule.low:g} to {rule.high:g}", rule.meaning, rule.source)
        lines.append("| " + " | ".join(cell.replace("|", "\\|") for cell in cells) + " |")
    return "\n".join([*lines, ""])


if __name__ == "__main__":
    print(rules_page(), end="")
