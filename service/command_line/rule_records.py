"""`holdwright rules list` and `explain` without a store: what is known of each rule."""

from __future__ import annotations

from collections.abc import Sequence

from service.command_line.printing.console import BAD_INPUT, DONE, note, print_json, print_table, print_wrapped
from service.documents.rules import rule_document
from service.text import printable
from service.text_table import Column
from solver.rule_book import BY_NAME, RULES
from solver.rule_book.record import Rule, Value


def print_rules(prefix: str, as_json: bool) -> int:
    """Print the rules with a number whose name starts with `prefix`, or the whole record of a full name; exit code 2 if none."""
    whole = BY_NAME.get(prefix)
    chosen = [whole] if whole else [rule for rule in RULES if rule.value is not None and rule.name.startswith(prefix)]
    if not chosen:
        groups = ", ".join(dict.fromkeys(rule.group for rule in RULES if rule.value is not None))
        note(f"no rule starts with {prefix!r}; accepted: {groups}, or a full name such as clear.weld")
        return BAD_INPUT
    if as_json:
        print_json([rule_document(rule) for rule in chosen])
    elif whole:
        print_record(whole)
    else:
        _print_list(chosen)
    return DONE


def _print_list(rules: Sequence[Rule]) -> None:
    columns = [Column("rule"), Column("default", right=True), *map(Column, ("unit", "range"))]
    columns += [Column(heading, wraps=True) for heading in ("meaning", "source")]
    rows = [
        [rule.name, f"{rule.value.default:g}", rule.value.unit, _span(rule.value), rule.meaning, rule.value.source]
        for rule in rules
        if rule.value is not None
    ]
    print_table(columns, rows, "no rules")


def print_record(rule: Rule) -> None:
    """Print all that is known of a rule, a line for each thing the record says."""
    record = rule_document(rule)
    if rule.value is not None:
        record |= {"default": _with_unit(f"{rule.value.default:g}", rule.value.unit)}
        record |= {"low": _with_unit(f"{rule.value.low:g} to {rule.value.high:g}", rule.value.unit), "high": None, "unit": None}
        if rule.relaxation is not None:
            record |= {"relax_to": _with_unit(f"{rule.relaxation.most:g}", rule.value.unit)}
    rows = []
    for key, said in record.items():
        if said not in (None, []):
            text = ", ".join(said) if isinstance(said, list) else said
            rows.append(("range" if key == "low" else key.replace("_", " "), text))
    margin = max(len(name) for name, _ in rows) + 2
    for name, text in rows:
        print_wrapped(printable(name.ljust(margin) + text), " " * margin)


def _span(value: Value) -> str:
    return f"{value.low:g}..{value.high:g}"


def _with_unit(figure: str, unit: str) -> str:
    return figure if unit == "-" else f"{figure} {unit}"
