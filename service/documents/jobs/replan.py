"""What a re-plan is asked with, and the request it comes down to."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import asdict
from datetime import date
from typing import Any

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from inventory.errors import Fault, InvalidDocument
from service.documents.jobs.members import member_faults
from service.documents.plan_document import alternative_document
from service.documents.request import NeededDocument
from service.documents.rule_books.known_books import as_planned
from service.documents.stored_weldments.stored_version import weldment_as_planned
from solver.plans import Plan
from solver.rule_book import VALUES


class ReplanBody(BaseModel):
    """What has changed since a plan was made; the new plan changes as little of the kept alternative as possible."""

    model_config = ConfigDict(extra="forbid")

    rank: int = Field(default=1, ge=1, description="the alternative that stands on the table")
    without: dict[str, Any] = Field(default={}, description="`without` of the new request: missing pieces, blocked holes")
    changes: dict[str, Any] = Field(default={}, description="other members of the request to replace, such as quantity")


def replanned(request: Mapping[str, Any], plan: Plan, body: Any) -> dict[str, Any]:
    """Return the request that keeps as much as possible of one alternative under what has changed.

    Parameters
    ----------
    request : dict
        The request document the plan was made for.
    plan : Plan
        What one alternative is kept of.
    body : dict
        ``rank``, ``without``, ``changes``, all optional.

    Raises
    ------
    InvalidDocument
        With the faults of the body; those of the new request are found when it is read.
    """
    faults = member_faults(body, required=(), optional=("rank", "without", "changes"))
    if faults:
        raise InvalidDocument(faults)
    rank, changes = body.get("rank", 1), body.get("changes", {})
    kept = None if isinstance(rank, bool) else plan.alternative(rank)
    if kept is None:
        ranks = ", ".join(str(one.rank) for one in plan.alternatives) or "none, the plan has no alternative"
        faults.append(Fault("/rank", f"there is no alternative {rank!r}", ranks))
    if not isinstance(changes, dict):
        faults.append(Fault("/changes", "is not an object", "members of the request to replace"))
    elif fixed := [name for name in ("format", "keep", "without", "held") if name in changes]:
        faults += [Fault(f"/changes/{name}", "cannot be changed here", "any other member of the request") for name in fixed]
    if faults or kept is None:
        raise InvalidDocument(faults)
    without = _without(request.get("without"), body.get("without", {}))
    proved = None if changes else _proved(request, plan, without)
    kept_members = {"without": without, "keep": alternative_document(kept), "proved": proved}
    rules = _same_book(as_planned(request, {"rules_book": plan.rules_book, "rules_version": plan.rules_version}), changes)
    made_for = {"weldment": None if plan.weldment is None else asdict(plan.weldment)}
    return {**weldment_as_planned(request, made_for), "alternatives": 1, **changes, "rules": rules, **kept_members}


def _same_book(planned: Mapping[str, Any], changes: Mapping[str, Any]) -> Any:
    """Return a re-plan's rules: unless it names a rule book of its own, the book and the version of the plan that is kept."""
    before, changed = planned.get("rules"), changes.get("rules")
    if "rules" not in changes:
        return before
    if not isinstance(before, Mapping) or not isinstance(changed, Mapping) or changed.get("base") is not None:
        return changed
    return {**changed, **{name: before[name] for name in ("base", "version", "base_set") if name in before}}


def with_held(request: Mapping[str, Any], held: Mapping[str, int] | None) -> dict[str, Any]:
    """Return a re-plan's request with the pieces that are promised to it.

    More is free with them than when the former plan was made, so what that one proved does not count.

    Parameters
    ----------
    held : mapping or None
        Pieces by item; None leaves those that the former request had.
    """
    pieces = dict((request.get("held") or {}) if held is None else held)
    return {**request, "held": pieces, "proved": None if pieces else request.get("proved")}


def held_days(request: Mapping[str, Any]) -> tuple[date, date] | None:
    """Return the days a re-plan's request names, None if it names none or they cannot be read: that is said when it is."""
    try:
        needed = NeededDocument.model_validate(request.get("needed"))
    except ValidationError:
        return None
    return (needed.start, needed.end) if needed.start <= needed.end else None


def _proved(request: Mapping[str, Any], plan: Plan, without: Any) -> dict[str, Any] | None:
    """Return what a plan proved of all fixtures, if it kept none itself and nothing that was left out may be used again."""
    before, now = request.get("without") or {}, without if isinstance(without, dict) else {}
    items, fewer = before.get("items") or {}, now.get("items") or {}
    if any(not isinstance(fewer.get(item), int) or fewer[item] < count for item, count in items.items()):
        return None
    if request.get("keep") is not None or plan.cost_bound_cents is None or set(plan.rules) != set(VALUES):
        return None
    cents = math.ceil(plan.cost_bound_cents - 1e-6)
    book = {"rules_version": plan.rules_version, "rules_book": plan.rules_book}
    return {"cents": cents, "stock_version": plan.stock_version, **book}


def _without(before: Any, now: Any) -> Any:
    """Join what was missing before and what is missing now: the larger count of an item, every hole."""
    if not isinstance(before, dict) or not isinstance(now, dict):
        return now
    merged = {**before, **now}
    for name in ("items", "broken"):
        if isinstance(before.get(name), dict) and isinstance(now.get(name), dict):
            merged[name] = {**before[name], **now[name]}
    if isinstance(before.get("holes"), list) and isinstance(now.get("holes"), list):
        merged["holes"] = before["holes"] + [hole for hole in now["holes"] if hole not in before["holes"]]
    return merged
