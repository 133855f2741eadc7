"""A plan or a check report in words: ranked alternatives with their price lines, reasons and repairs, findings."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from typing import TYPE_CHECKING, Any

from service.command_line.printing.console import print_table, print_wrapped
from service.documents.jobs.plan_words import not_tried, refusal_lines, standing
from service.drawings.run_settings import setting_tables
from service.steps import CHANGE_COLUMNS, STANDS, cautions, change_rows
from service.text import money, printable
from service.text_table import Column
from solver.plans import Alternative, Plan

if TYPE_CHECKING:
    from solver.weldment import LengthUnit

CAUTION = (
    "Advice for a competent person: the usual cautions of welding, clamping and lifting apply, "
    "and local code, the employer's procedures and qualified practice come first."
)
_PRICE_LINES = ("total", "setup", "cycle", "tie_up", "shortage", "weights")
_INDENT = "      "


def print_plan(plan: Plan, currency: str = "", units: LengthUnit = "mm", ranks: Collection[int] = (1,)) -> None:
    """Print the status in words, then the alternatives, with what a hand must hold or not lift alone, or why there is none.

    In a re-plan the steps from what stands to the alternatives of `ranks` follow, and what pieces are set to for each variant,
    settings in `units`.
    """
    print_wrapped(standing(plan), _INDENT)
    if plan.alternatives:
        _print_ranked(plan.alternatives, currency)
        for one in plan.alternatives:
            said = f"{one.rank:>4}  {one.title}" + "".join(f": {more}" for more in (one.differs, _steps(one)) if more)
            print_wrapped(printable(said), _INDENT)
            for caution in cautions(one):
                print_wrapped(printable(f"{_INDENT}{caution}"), _INDENT)
        for one in plan.alternatives:
            if one.changes is not None and one.rank in ranks:
                print_table(CHANGE_COLUMNS, change_rows(one.changes, units), STANDS)
    for one in plan.alternatives:
        if one.rank in ranks:
            _print_settings(one, units)
    for line in refusal_lines(plan, currency):
        print_wrapped(printable(line), _INDENT)
    for left in plan.left_out:
        print_wrapped(printable(f"not tried: {not_tried(left, plan.alternatives, currency)}"), _INDENT)
    for finding in plan.findings:
        if finding.text and (not finding.ok or finding.rule in ("alternatives.fewer", "plan.proved")):
            print_wrapped(printable(f"note: {finding.subject}: {finding.text}"), _INDENT)
    print_wrapped(CAUTION)


def _print_settings(one: Alternative, units: LengthUnit) -> None:
    """Print what pieces are set to for each weldment of a run; nothing where one weldment is all there is."""
    for table in setting_tables(one, "first", units):
        print_table([Column(heading) for heading in table.columns], [list(map(printable, row)) for row in table.rows], "")


def _print_ranked(alternatives: Sequence[Alternative], currency: str) -> None:
    """Print one row an alternative, money and time apart; price lines that are zero everywhere are left out."""
    lines = [line for line in _PRICE_LINES if line == "total" or any(_cents(one, line) for one in alternatives)]
    priced = f"money, {currency}" if currency else "money"
    columns = [
        Column("rank", right=True),
        Column("table"),
        Column("lie"),
        Column("pieces", right=True),
        *(Column(line.replace("_", "-"), right=True, group=priced) for line in lines),
        *(Column(line, right=True, group="time") for line in ("setup", "cycle")),
    ]
    rows = []
    for one in alternatives:
        prices = [money(_cents(one, line)) for line in lines]
        pieces = str(sum(line.count for line in one.kit))
        rows.append([str(one.rank), one.table, _lie(one), pieces, *prices, f"{one.setup_s / 60:.1f} min", f"{one.cycle_s} s"])
    print_table(columns, rows, "no alternatives")


def _steps(one: Alternative) -> str:
    """Return how many steps lead there from the plan that stands, "" if none stands."""
    if one.changes is None:
        return ""
    return f"{len(one.changes)} step{'' if len(one.changes) == 1 else 's'} from what stands"


def _cents(one: Alternative, line: str) -> int:
    cents: int = getattr(one.cost, f"{line}_cents")
    return cents


def _lie(one: Alternative) -> str:
    if len(one.stations) > 1:
        return f"{len(one.stations)} stations"
    return f"{one.down} {one.turn:g}°"


def print_report(report: Any, everything: bool) -> None:
    """Print the failed findings of a check (every finding if `everything`), then the verdict."""
    shown = list(report.findings if everything else report.failed)
    if shown:
        ids = (Column(heading) for heading in ("verdict", "rule", "subject"))
        figures = (Column(heading, right=True) for heading in ("value", "limit"))
        columns = [*ids, *figures, Column("unit"), Column("text", wraps=True)]
        rows = [
            [
                "ok" if finding.ok else "FAILED",
                finding.rule,
                finding.subject,
                _figure(finding.value),
                _figure(finding.limit),
                finding.unit,
                finding.text,
            ]
            for finding in shown
        ]
        print_table(columns, rows, "no findings")
    failed = len(report.failed)
    print(f"{len(report.findings)} findings, " + ("none failed" if report.ok else f"{failed} failed"))


def _figure(value: float | None) -> str:
    return "" if value is None else f"{value:g}"
