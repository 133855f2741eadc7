"""Whether the repairs a refusal offers work: each carries a complete alternative that must pass every check at its price."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import replace
from typing import Any, cast, get_args

from inventory.errors import InvalidDocument
from solver.checks.report import fail, passed
from solver.plans import Finding
from solver.request import Down, Request
from solver.rule_book.book import RuleBook

RULE = "refused.would_help"
Check = Callable[[Request, Mapping[str, Any]], Sequence[Finding]]


def check_refused(request: Request, plan: Mapping[str, Any], check: Check) -> Iterator[Finding]:
    """Yield whether every repair's own plan passes and costs what is said; `check` examines one alternative."""
    refused = plan.get("refused")
    repairs = refused.get("would_help") if isinstance(refused, Mapping) else None
    for k, repair in enumerate(repairs if isinstance(repairs, Sequence) and not isinstance(repairs, str) else ()):
        if isinstance(repair, Mapping) and isinstance(repair.get("plan"), Mapping):
            yield _repair(
                request, f"{k} {repair.get('do')} {repair.get('item') or repair.get('rule') or ''}".strip(), repair, check
            )


def _repair(request: Request, subject: str, repair: Mapping[str, Any], check: Check) -> Finding:
    try:
        eased = _eased(request, repair)
    except (InvalidDocument, KeyError, TypeError, ValueError) as wrong:
        return fail(RULE, subject, f"the repair cannot be made: {wrong}")
    failed = [finding for finding in check(eased, repair["plan"]) if not finding.ok]
    if failed:
        return fail(RULE, subject, f"its plan fails {failed[0].rule} at {failed[0].subject}: {failed[0].text}")
    cost = repair["plan"].get("cost")
    total = cost.get("total_cents") if isinstance(cost, Mapping) else None
    if repair.get("then_total_cents") != total:
        return fail(RULE, subject, f"then_total_cents is {repair.get('then_total_cents')}, its plan costs {total}")
    return passed(RULE, subject)


def _eased(request: Request, repair: Mapping[str, Any]) -> Request:
    """Return the request as the repair would have it: pieces bought, a rule relaxed, another side or table, fewer stations."""
    bought = replace(request, shortage="price")
    if repair.get("do") == "allow":
        return _allowed(bought, str(repair["rule"]), str(repair["to"]))
    if repair.get("do") in ("drop_pin", "drop_avoid"):
        return _without_pieces(bought, repair)
    if repair.get("do") != "relax":
        return bought
    rules = request.rules
    return replace(bought, rules=RuleBook({**rules.changes, str(repair["rule"]): float(repair["to"])}, rules.base, rules.version))


def _without_pieces(request: Request, repair: Mapping[str, Any]) -> Request:
    """Return the request without the pins, and the pieces to avoid, that the repair names by their numbers."""
    dropped: dict[str, list[int]] = {name: list(repair.get(name) or ()) for name in ("pins", "avoid")}
    if not any(dropped.values()):
        raise ValueError("it drops nothing")
    for name, numbers in dropped.items():
        if any(number not in range(len(getattr(request, name))) for number in numbers):
            raise ValueError(f"there is no such entry of {name}: {numbers}")
    left = {
        name: tuple(one for k, one in enumerate(getattr(request, name)) if k not in numbers) for name, numbers in dropped.items()
    }
    return replace(request, pins=left["pins"], avoid=left["avoid"])


def _allowed(request: Request, what: str, other: str) -> Request:
    """Return the request with one more side down or one more table allowed, or with fewer stations."""
    if what == "stations" and isinstance(request.stations, int) and 1 <= int(other) < request.stations:
        return replace(request, stations=int(other))
    if what == "tables":
        return replace(request, tables=(*request.tables, other))
    if what == "lie.down" and other in get_args(Down):
        return replace(request, down=(*request.down, cast(Down, other)))
    raise ValueError(f"nothing to allow: {what} {other}")
