"""`holdwright rules`: what the solver goes by."""

from __future__ import annotations

import dataclasses

from rich.console import Console
from rich.table import Table

from service.command_line.console import BAD_INPUT, DONE, note, print_json
from solver.rule_book.book import RULES


def print_rules(prefix: str, as_json: bool) -> int:
    """Print the rules whose name starts with `prefix`; exit code 2 if there is none."""
    chosen = [rule for rule in RULES if rule.name.startswith(prefix)]
    if not chosen:
        groups = ", ".join(dict.fromkeys(rule.name.split(".")[0] for rule in RULES))
        note(f"no rule starts with {prefix!r}; accepted: {groups}, or a full name such as clear.weld")
        return BAD_INPUT
    if as_json:
        print_json([dataclasses.asdict(rule) for rule in chosen])
        return DONE
    table = Table(box=None, pad_edge=False)
    for heading in ("rule", "default", "unit", "range", "meaning", "source"):
        table.add_column(heading, justify="right" if heading == "default" else "left", overflow="fold")
    for rule in chosen:
        table.add_row(rule.name, f"{rule.default:g}", rule.unit, f"{rule.low:g}..{rule.high:g}", rule.meaning, rule.source)
    Console().print(table)
    return DONE
