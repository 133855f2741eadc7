"""A plan or a check report in a terminal: ranked alternatives with their price lines, reasons and repairs, findings."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from rich.console import Console
from rich.markup import escape
from rich.table import Table

from service.console import printable
from solver.plan import Finding

CAUTION = (
    "Advice for a competent person: the usual cautions of welding, clamping and lifting apply, "
    "and local code, the employer's procedures and qualified practice come first."
)


def print_plan(plan: Mapping[str, Any], console: Console | None = None) -> None:
    """Print the status in words, then the alternatives or the reasons why there is none."""
    console = console or Console()
    console.print(escape(standing(plan)))
    if plan["alternatives"]:
        console.print(_ranked(plan["alternatives"]))
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
    table = Table(box=None, pad_edge=False)
    left = ("title", "table", "lie", "how it differs")
    for heading in ("rank", "title", "table", "lie", "total", "setup", "cycle", "tie-up", "shortage", "weights", "pieces", "how it differs"):
        table.add_column(heading, justify="left" if heading in left else "right", overflow="fold")
    for one in alternatives:
        cost, lie = one["cost"], one["lie"]
        lines = [money(cost[f"{line}_cents"]) for line in ("total", "setup", "cycle", "tie_up", "shortage", "weights")]
        pieces = sum(line["count"] for line in one["kit"])
        row = [str(one["rank"]), one["title"], one["table"], f"{lie['down']} down, {lie['turn']}°", *lines, str(pieces), one["differs"]]
        table.add_row(*(escape(printable(cell)) for cell in row))
    return table


def _refusal(refused: Mapping[str, Any] | None) -> list[str]:
    if not refused:
        return []
    lines = [f"because: {reason['text']}  [{reason['rule']}, {reason['subject']}]" for reason in refused.get("because", ())]
    for repair in refused.get("would_help", ()):
        priced = f": then {money(repair['then_total_cents'])} in all" if repair.get("then_total_cents") is not None else ""
        if repair.get("do") == "buy":
            lines.append(f"would help: buy {repair['count']} x {repair['item']} for {money(repair['price_cents'])}{priced}")
        else:
            lines.append(f"would help: {repair.get('do')} {repair.get('rule')} from {repair.get('from')} to {repair.get('to')}{priced}")
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


def report_document(report: Any) -> dict[str, Any]:
    """Return a check report as plain JSON values: the verdict and every finding."""
    return {"format": "holdwright.report/1", "ok": report.ok, "findings": [_finding(finding) for finding in report.findings]}


def _finding(finding: Finding) -> dict[str, Any]:
    return {name: getattr(finding, name) for name in Finding.__dataclass_fields__}
