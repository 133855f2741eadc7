"""The plan as a whole: ranks, order, difference of alternatives, and the honesty of its status."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from itertools import combinations
from typing import Any, get_args

from inventory.stock import StockSnapshot
from solver.checks.report import at_least, fail, passed
from solver.checks.rules.left_out import left_out_problems
from solver.plans import Alternative, Finding, Status, StoppedBy
from solver.request import Request
from solver.rule_book import VALUES
from solver.rule_book.book import RuleBook


def check_ranking(stock: StockSnapshot, rules: RuleBook, answers: Sequence[Alternative]) -> Iterator[Finding]:
    """Yield whether alternatives are ranked by price from 1 and differ enough from each other."""
    ranks = [answer.rank for answer in answers]
    if ranks != list(range(1, len(answers) + 1)):
        yield fail("alternatives.rank", "plan", f"ranks are {ranks}, expected 1 to {len(answers)}")
    totals = [answer.cost.total_cents for answer in answers]
    if totals != sorted(totals):
        yield fail("alternatives.rank", "plan", f"totals {totals} do not rise with the rank")
    elif answers:
        yield passed("alternatives.rank", "plan")
    for one, other in combinations(answers, 2):
        yield _differ(stock, rules, one, other)


def _differ(stock: StockSnapshot, rules: RuleBook, one: Alternative, other: Alternative) -> Finding:
    subject, limit = f"{one.rank} {other.rank}", rules["alternatives.differ_by"]
    if (one.table, one.down, one.turn % 360) != (other.table, other.down, other.turn % 360):
        return passed("alternatives.differ_by", subject, "another lie")
    if _way_out(one) != _way_out(other):
        return passed("alternatives.differ_by", subject, "another way out")
    mine, theirs = _signature(stock, one), _signature(stock, other)
    count = sum((mine - theirs).values()) + sum((theirs - mine).values())
    return at_least("alternatives.differ_by", subject, count, limit, "entries")


def _way_out(answer: Alternative) -> list[tuple[float, ...]]:
    return [tuple(round(value, 3) + 0.0 for value in move.direction) for move in answer.unload.moves]


def _signature(stock: StockSnapshot, answer: Alternative) -> Counter[tuple[str, ...]]:
    """Return the entries (part, as, face, item) of locator and clamp contacts, and the items that make none."""
    entries: Counter[tuple[str, ...]] = Counter()
    for placement in answer.placements:
        item = stock.items.get(placement.item)
        clamp = item is not None and item.clamp is not None
        roles = [(part, str(role)) for part, role in placement.locates]
        own: list[tuple[str, ...]] = []
        for contact in placement.contacts:
            named = [role for part, role in roles if part == contact.part] or (["clamp"] if clamp else [])
            own += [(contact.part, role, contact.face, placement.item) for role in named]
        entries.update(own or [(placement.item,)])
    return entries


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
