"""A plan or a check report in a terminal: ranked alternatives with their price lines, reasons and repairs, findings."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from rich.console import Console
from rich.markup import escape
from rich.table import Table

from service.text import printable

CAUTION = (
    "Advice for a competent person: the usual cautions of welding, clamping and lifting apply, "
    "and local code, the employer's procedures and qualified practice come first."
)
_PRICE_LINES = ("total", "setup", "cycle", "tie_up", "shortage", "weights")


def print_plan(plan: Mapping[str, Any], console: Console | None = None) -> None:
    """Print the status in words, then the alternatives, with what a hand must hold, or the reasons why there is none."""
    console = console or Console()
    console.print(escape(standing(plan)))
    if plan["alternatives"]:
        console.print(_ranked(plan["alternatives"]))
        for one in plan["alternatives"]:
            said = f"{one['rank']:>4}  {one['title']}" + (f": {one['differs']}" if one["differs"] else "")
            console.print(escape(printable(said)), highlight=False)
            for finding in one.get("findings") or ():
                if finding["rule"] == "load.by_hand":
                    console.print(escape(printable(f"      {finding['subject']}: {finding['text']}")), highlight=False)
    for line in _refusal(plan.get("refused")):
        console.print(escape(printable(line)), highlight=False)
    for finding in plan.get("findings") or ():
        if not finding["ok"] and finding.get("text"):
            console.print(escape(printable(f"note: {finding['subject']}: {finding['text']}")), highlight=False)
    console.print(CAUTION, style="dim")


def standing(plan: Mapping[str, Any]) -> str:
    """Return how far the answer is proved, in one line."""
    status, gap = plan["status"], plan.get("gap")
    if status == "optimal":
        return "optimal: rank 1 is proved cheapest over the stated candidate set"
    if status == "feasible":
        proved = "no bound proved" if gap is None else f"at most {100 * gap:.1f} % above the cheapest"
        return f"feasible: the best found, {proved}; stopped by {plan['stopped_by']}"
    if status == "infeasible":
        return "infeasible: there is no plan, proved twice"
    return f"unknown: neither a plan nor a proof that there is none; stopped by {plan['stopped_by']}"


def money(cents: int) -> str:
    """Return cents as a decimal amount."""
    return f"{cents / 100:,.2f}"


def _ranked(alternatives: list[Mapping[str, Any]]) -> Table:
    """Return one row an alternative; price lines that are zero everywhere are left out."""
    lines = [line for line in _PRICE_LINES if line == "total" or any(one["cost"][f"{line}_cents"] for one in alternatives)]
    table = Table(box=None, pad_edge=False)
    for heading in ("rank", "table", "lie", *(line.replace("_", "-") for line in lines), "pieces", "setup", "cycle"):
        table.add_column(heading, justify="left" if heading in ("table", "lie") else "right", overflow="fold")
    for one in alternatives:
        prices = [money(one["cost"][f"{line}_cents"]) for line in lines]
        pieces = str(sum(line["count"] for line in one["kit"]))
        times = (f"{one['setup_s'] / 60:.1f} min", f"{one['cycle_s']} s")
        table.add_row(*(escape(printable(cell)) for cell in (str(one["rank"]), one["table"], _lie(one), *prices, pieces, *times)))
    return table


def _lie(one: Mapping[str, Any]) -> str:
    if one.get("lie") is None:
        return f"{len(one['stations'])} stations"
    return f"{one['lie']['down']} {one['lie']['turn']:g}°"


def _refusal(refused: Mapping[str, Any] | None) -> list[str]:
    if not refused:
        return []
    lines = [f"because: {reason['text']}  [{reason['rule']}, {reason['subject']}]" for reason in refused.get("because", ())]
    for repair in refused.get("would_help", ()):
        priced = f": then {money(repair['then_total_cents'])} in all" if repair.get("then_total_cents") is not None else ""
        if repair.get("do") == "buy":
            bought = [repair, *repair.get("also", ())]
            pieces = " and ".join(f"{one['count']} x {one['item']} for {money(one['price_cents'])}" for one in bought)
            lines.append(f"would help: buy {pieces}{priced}")
        else:
            change = f"{repair.get('do')} {repair.get('rule')} from {repair.get('from')} to {repair.get('to')}"
            lines.append(f"would help: {change}{priced}")
    return lines


def print_report(report: Any, everything: bool, console: Console | None = None) -> None:
    """Print the failed findings of a check (every finding if `everything`), then the verdict."""
    console = console or Console()
    shown = list(report.findings if everything else report.failed)
    if shown:
        table = Table(box=None, pad_edge=False)
        for heading in ("", "rule", "subject", "value", "limit", "unit", "text"):
            table.add_column(heading, overflow="fold")
        for finding in shown:
            verdict = "ok" if finding.ok else "FAILED"
            cells = (finding.rule, finding.subject, _figure(finding.value), _figure(finding.limit), finding.unit, finding.text)
            table.add_row(verdict, *(escape(printable(cell)) for cell in cells))
        console.print(table)
    failed = len(report.failed)
    console.print(f"{len(report.findings)} findings, " + ("none failed" if report.ok else f"{failed} failed"))


def _figure(value: float | None) -> str:
    return "" if value is None else f"{value:g}"
