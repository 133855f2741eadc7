"""A plan or a check report in words: ranked alternatives with their price lines, reasons and repairs, findings."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from typing import TYPE_CHECKING, Any

from service.command_line.printing.console import print_table, print_wrapped
from service.command_line.printing.progress_line import above_cheapest
from service.steps import CHANGE_COLUMNS, STANDS, cautions, change_rows
from service.text import money, printable
from service.text_table import Column
from solver.plans import Alternative, LeftOut, Omission, Plan, Purchase, Relaxation, Repair

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

    In a re-plan the steps from what stands to the alternatives of `ranks` follow, settings in `units`.
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
    for line in refusal_lines(plan, currency):
        print_wrapped(printable(line), _INDENT)
    for left in plan.left_out:
        print_wrapped(printable(f"not tried: {left.text}{_at_stake(left, plan.alternatives, currency)}"), _INDENT)
    for finding in plan.findings:
        if finding.text and (not finding.ok or finding.rule in ("alternatives.fewer", "plan.proved")):
            print_wrapped(printable(f"note: {finding.subject}: {finding.text}"), _INDENT)
    print_wrapped(CAUTION)


def standing(plan: Plan) -> str:
    """Return how far the answer is proved, in one line."""
    if plan.status == "optimal":
        return "optimal: rank 1 is proved the cheapest of all the request, stock and rules allow"
    if plan.status == "feasible":
        proved = above_cheapest(plan.alternatives[0].cost.total_cents, plan.cost_bound_cents) or "no bound proved"
        return f"feasible: the best found, {proved}; stopped by {plan.stopped_by}"
    if plan.status == "infeasible":
        return "infeasible: there is no plan, proved twice"
    return f"unknown: neither a plan nor a proof that there is none; stopped by {plan.stopped_by}"


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


def refusal_lines(plan: Plan, currency: str) -> list[str]:
    """Return a line a reason why there is no plan, and one a repair that helps; none if there is a plan."""
    if plan.refused is None:
        return []
    lines = [f"because: {reason.text}  [{reason.rule}, {reason.subject}]" for reason in plan.refused.because]
    for repair in plan.refused.would_help:
        then = money(repair.plan.cost.total_cents, currency)
        lines.append(f"would help: {_change(repair, currency)}: then {then} in all")
    return lines


def _at_stake(left: LeftOut, alternatives: Sequence[Alternative], currency: str) -> str:
    """Return what trying it could save at most, or, where there is no plan, what it costs at least."""
    if left.could_cost_cents is None:
        return ", at a price that is not known"
    if not alternatives:
        return f", at {money(left.could_cost_cents, currency)} or more"
    saved = alternatives[0].cost.total_cents - left.could_cost_cents
    return f", could save up to {money(saved, currency)}" if saved > 0 else ", could save nothing"


def _change(repair: Repair, currency: str) -> str:
    if isinstance(repair, Purchase):
        pieces = (f"{line.count} x {line.item} for {money(line.price_cents, currency)}" for line in repair.lines)
        return f"buy {' and '.join(pieces)}"
    if isinstance(repair, Relaxation):
        return f"relax {repair.rule} from {repair.given} to {repair.value}"
    if isinstance(repair, Omission):
        return f"{'drop the pin' if repair.pins else 'allow again'}: {repair.subject}"
    return f"allow {repair.what} from {repair.given} to {repair.other}"


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
