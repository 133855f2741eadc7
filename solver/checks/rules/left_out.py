"""What a plan says it did not try: whether its status and its bound leave room for it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any


def left_out_problems(plan: Mapping[str, Any], best: int | None) -> Iterator[str]:
    """Yield what status, bound and the end of the search say that what was left out does not bear out.

    `best` is the total of the cheapest alternative, cents, None if there is none.
    """
    entries = plan.get("left_out") or ()
    if not isinstance(entries, Sequence) or isinstance(entries, str) or not all(isinstance(each, Mapping) for each in entries):
        yield "left_out is no list of what was left out"
        return
    if plan["stopped_by"] == "scope" and not entries:
        yield "stopped by scope, but nothing is left out"
    for entry in entries:
        yield from _entry_problems(plan, entry, best)


def _entry_problems(plan: Mapping[str, Any], entry: Mapping[str, Any], best: int | None) -> Iterator[str]:
    code, least, bound = entry.get("code"), entry.get("could_cost_cents"), plan.get("cost_bound_cents")
    if least is not None and (not isinstance(least, int) or isinstance(least, bool)):
        yield f"{code!r} was left out and could cost {least!r}, which is no whole number"
    elif plan["status"] == "infeasible":
        yield f"infeasible, but {code!r} was left out"
    elif plan["status"] == "optimal" and (least is None or (best is not None and least < best)):
        yield f"optimal at {best}, but {code!r} was left out and could cost {'anything' if least is None else least}"
    elif least is not None and isinstance(bound, int | float) and bound > least:
        yield f"bound {bound} lies above {least}, which {code!r} could cost and was left out"
