"""The plan as a whole: the honesty of its status, its bound and its gap."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any, get_args

from inventory.stock import StockSnapshot
from solver.checks.report import fail, passed
from solver.checks.rules.left_out import left_out_problems
from solver.plans import Alternative, Finding, Status, StoppedBy
from solver.request import Request
from solver.rule_book import VALUES
from solver.rule_book.book import RuleBook


def check_status(
    request: Request, stock: StockSnapshot, plan: Mapping[str, Any], answers: Sequence[Alternative]
) -> Iterator[Finding]:
    """Yield whether status, bound and gap say what the alternatives bear out."""
    status, stopped, bound, gap = (plan.get(name) for name in ("status", "stopped_by", "cost_bound_cents", "gap"))
    if plan.get("format") != "holdwright.plan/1":
        yield fail("document.format", "plan", f"{plan.get('format')!r} is not holdwright.plan/1")
    if status not in get_args(Status) or stopped not in get_args(StoppedBy):
        yield fail("plan.status", "plan", f"status {status!r}, stopped by {stopped!r}")
        return
    problems = list(_with_answers(status, stopped, bound, gap, answers) if answers else _without(status, plan))
    problems += left_out_problems(plan, answers[0].cost.total_cents if answers else None)
    problems += _book(request.rules, plan)
    if plan.get("seed") is not None and plan["seed"] != request.seed:
        problems.append(f"seed {plan['seed']}, the request says {request.seed}")
    if len(answers) > request.alternatives:
        problems.append(f"{len(answers)} alternatives, {request.alternatives} asked")
    for problem in problems:
        yield fail("plan.status", "plan", problem)
    if not problems:
        yield passed("plan.status", "plan", str(status))
    if plan.get("stock_version") not in (None, stock.version):
        text = f"made with stock version {plan['stock_version']}, checked against {stock.version}"
        yield passed("plan.stock_version", "plan", text)


def _with_answers(status: Any, stopped: Any, bound: Any, gap: Any, answers: Sequence[Alternative]) -> Iterator[str]:
    if status not in ("optimal", "feasible"):
        yield f"{status} with {len(answers)} alternatives"
        return
    best = answers[0].cost.total_cents
    if not isinstance(bound, int | float) or not isinstance(gap, int | float):
        yield f"bound {bound!r} and gap {gap!r} must be numbers"
        return
    if bound > best:
        yield f"bound {bound} lies above the best total {best}"
    if status == "optimal" and (gap != 0 or bound != best):
        yield f"optimal with gap {gap} and bound {bound} against {best}"
    if status == "feasible":
        wanted = (best - bound) / best if best else 0.0
        if abs(gap - wanted) > 1e-4:
            yield f"gap {gap}, by bound and best total {wanted:.6f}"
        if stopped == "proof" and bound < best:
            yield "stopped by proof, but nothing is proved"


def _without(status: Any, plan: Mapping[str, Any]) -> Iterator[str]:
    if status in ("optimal", "feasible"):
        yield f"{status} without an alternative"
    refused = plan.get("refused")
    if status == "infeasible" and not (isinstance(refused, Mapping) and refused.get("because")):
        yield "infeasible without a reason"


def _book(rules: RuleBook, plan: Mapping[str, Any]) -> list[str]:
    listed = plan.get("rules")
    if not isinstance(listed, Mapping):
        return ["the plan carries no rules"]
    problems = []
    for name, value in listed.items():
        if name not in VALUES:
            problems.append(f"there is no rule {name!r}")
        elif value != rules[name]:
            problems.append(f"rule {name} is {value}, the request's rule book says {rules[name]:g}")
    return problems
