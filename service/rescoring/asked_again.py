"""The request of a plan with changed rules in it, as it is planned again."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from service.documents.rescoring.what_if import ChangedRules
from service.documents.rules import in_mm

_OF_A_RE_PLAN = ("proved",)


def with_rules(request: Mapping[str, Any], changed: ChangedRules) -> dict[str, Any]:
    """Return a request document under changed rules: over its own, or with a whole rule book in their place."""
    kept = {name: value for name, value in request.items() if name not in _OF_A_RE_PLAN}
    if changed.base is not None:
        named = {"base": changed.base} | ({} if changed.version is None else {"version": changed.version})
        return {**kept, "rules": {**named, "set": dict(changed.set)}}
    own = dict(request.get("rules") or {})
    units = own.pop("units", "mm")
    settled = {name: in_mm(own.get(name) or {}, units) for name in ("base_set", "set") if own.get(name) is not None}
    return {**kept, "rules": {**own, **settled, "set": {**settled.get("set", {}), **changed.set}}}
