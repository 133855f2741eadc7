"""`holdwright rules` and `holdwright schema`: what the solver goes by, and what documents look like."""

from __future__ import annotations

import dataclasses
import json

from service.command_line.console import note


def print_rules(prefix: str, as_json: bool) -> int:
    """Print the rules whose name starts with `prefix`; exit code 2 if there is none."""
    from solver.rule_book.book import RULES

    chosen = [rule for rule in RULES if rule.name.startswith(prefix)]
    if not chosen:
        groups = ", ".join(dict.fromkeys(rule.name.split(".")[0] for rule in RULES))
        note(f"no rule starts with {prefix!r}; accepted: {groups}, or a full name such as clear.weld")
        return 2
    if as_json:
        print(json.dumps([dataclasses.asdict(rule) for rule in chosen], ensure_ascii=False, indent=1))
        return 0
    from rich.console import Console
    from rich.table import Table

    table = Table(box=None, pad_edge=False)
    for heading in ("rule", "default", "unit", "range", "meaning", "source"):
        table.add_column(heading, justify="right" if heading == "default" else "left", overflow="fold")
    for rule in chosen:
        table.add_row(rule.name, f"{rule.default:g}", rule.unit, f"{rule.low:g}..{rule.high:g}", rule.meaning, rule.source)
    Console().print(table)
    return 0


def print_schema(name: str) -> int:
    """Print one JSON Schema; exit code 2 if there is no such document."""
    from service.documents import SCHEMAS, json_schema

    if name not in SCHEMAS:
        note(f"there is no document {name!r}; accepted: {', '.join(SCHEMAS)}")
        return 2
    print(json.dumps(json_schema(name), ensure_ascii=False, indent=1))
    return 0
