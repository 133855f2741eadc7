"""The request that a repair makes of one that was refused."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from service.documents.reading.fields import MM_PER
from solver.plans import Omission, Permission, Purchase, Relaxation, Repair
from solver.rule_book import VALUES


def repaired(request: Mapping[str, Any], repair: Repair) -> dict[str, Any]:
    """Return a request document that allows what a repair needs, and is otherwise the one that was refused.

    Pieces that are missing may be bought then, and those the repair buys are used; the rule asks for less; the other table or
    side may be used, or as many stations as have room; pins and pieces to avoid are dropped.
    """
    if isinstance(repair, Purchase):
        bought = [{"item": line.item} for line in repair.lines]
        return {**request, "shortage": "price", "pins": [*(request.get("pins") or []), *bought]}
    if isinstance(repair, Relaxation):
        return {**request, "rules": _relaxed(request.get("rules") or {}, repair)}
    if isinstance(repair, Omission):
        kept = {name: _without(request.get(name) or [], getattr(repair, name)) for name in ("pins", "avoid")}
        return {**request, **kept}
    return _allowing(request, repair)


def _relaxed(rules: Mapping[str, Any], repair: Relaxation) -> dict[str, Any]:
    inches = VALUES[repair.rule].unit == "mm" and rules.get("units") == "inch"
    value = repair.value / MM_PER["inch"] if inches else repair.value
    return {**rules, "set": {**(rules.get("set") or {}), repair.rule: value}}


def _without(entries: list[Any], numbers: tuple[int, ...]) -> list[Any]:
    return [entry for number, entry in enumerate(entries) if number not in numbers]


def _allowing(request: Mapping[str, Any], repair: Permission) -> dict[str, Any]:
    if repair.what == "tables":
        return {**request, "tables": [*request["tables"], repair.other]}
    if repair.what == "stations":
        return {**request, "stations": int(repair.other)}
    lie = request.get("lie") or {}
    return {**request, "lie": {**lie, "down": [*lie.get("down", ["-z"]), repair.other]}}
