"""`holdwright rules`: what the solver goes by."""

from __future__ import annotations

from collections.abc import Sequence

from rich.console import Console
from rich.table import Table

from service.command_line.console import BAD_INPUT, DONE, note, print_json
from service.documents.rules import rule_document
from solver.rule_book import BY_NAME, RULES
from solver.rule_book.record import Rule


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
        _print_record(whole)
    else:
        _print_list(chosen)
    return DONE


def _print_list(rules: Sequence[Rule]) -> None:
    table = Table(box=None, pad_edge=False)
    for heading in ("rule", "default", "unit", "range", "meaning", "source"):
        table.add_column(heading, justify="right" if heading == "default" else "left", overflow="fold")
    for rule in rules:
        if rule.value is not None:
            span = f"{rule.value.low:g}..{rule.value.high:g}"
            table.add_row(rule.name, f"{rule.value.default:g}", rule.value.unit, span, rule.meaning, rule.value.source)
    Console().print(table)


def _print_record(rule: Rule) -> None:
    """Print all that is known of a rule, a line for each thing the record says."""
    table = Table(box=None, pad_edge=False, show_header=False)
    table.add_column()
    table.add_column(overflow="fold")
    record = rule_document(rule)
    if rule.value is not None:
        record |= {"default": _with_unit(f"{rule.value.default:g}", rule.value.unit)}
        record |= {"low": _with_unit(f"{rule.value.low:g} to {rule.value.high:g}", rule.value.unit), "high": None, "unit": None}
        if rule.relaxation is not None:
            record |= {"relax_to": _with_unit(f"{rule.relaxation.most:g}", rule.value.unit)}
    for key, said in record.items():
        if said not in (None, []):
            text = ", ".join(said) if isinstance(said, list) else said
            table.add_row("range" if key == "low" else key.replace("_", " "), text)
    Console().print(table)


def _with_unit(figure: str, unit: str) -> str:
    return figure if unit == "-" else f"{figure} {unit}"
