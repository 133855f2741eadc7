"""Reasons as sentences: the rule, what it is asked of, and the numbers."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from inventory.stock import StockSnapshot
from solver.cost import free_pieces
from solver.explain.irreducible import Demand
from solver.laying.laid_weldment import LaidPart, LaidWeldment
from solver.laying.requirements import clamps_needed, side_spacing, support_margin
from solver.plans import Reason
from solver.request import Request
from solver.rule_book.book import BY_NAME

LYING = 0.5
"""A part whose length rises by less than this share lies."""


def missing(request: Request, stock: StockSnapshot, item: str, needed: int | None) -> Reason:
    """Return the reason that pieces of an item are missing: ``riser 75 mm: 6 needed, 4 free``."""
    free = free_pieces(request, stock, item)
    line, gone = stock.lines.get(item), request.without.items.get(item, 0)
    parts = [f"{line.count} on the shelf"] if line and line.count != free else []
    parts += [f"{line.out_of_service} out of service"] if line and line.out_of_service else []
    parts += [f"{line.reserved} reserved"] if line and line.reserved else []
    parts += [f"{gone} to go without"] if gone else []
    name = stock.items[item].name
    called = item if name in ("", item) else f"{item} ({name})"
    wanted = f"{needed} needed, " if needed is not None else ""
    return Reason("stock.counted", item, f"{called}: {wanted}{free} free" + (f" ({', '.join(parts)})" if parts else ""))


def sentence(demand: Demand, request: Request, laid: LaidWeldment, in_the_way: Sequence[str] = ()) -> Reason:
    """Return a demand of the model as a sentence; stock has its own, `missing`. `in_the_way` names the items that are."""
    part = next((held for held in laid.parts if held.id == demand.about), None)
    rules = request.rules
    subject = demand.about or "weldment"
    if part is not None and demand.rule in _OF_A_PART:
        return Reason(*_named(demand.rule), subject, f"{subject}: {_OF_A_PART[demand.rule](laid, part)}")
    if demand.rule == "hold":
        text = (
            f"pushes of {rules['hold.handling_n']:g} N and the pull of the tacks, x {rules['clamp.safety']:g}, must be held with "
            f"a friction of {rules['hold.friction']:g} and no stop giving more than {rules['stack.deflection_max']:g} mm"
        )
        return Reason("hold.handling_n", subject, text)
    if demand.rule in _OF_ALL:
        figures = {name.replace(".", "_"): f"{value:g}" for name, value in rules.resolved().items()}
        text = _OF_ALL[demand.rule].format(subject=subject, **figures)
        if in_the_way:
            verb = "stands" if len(in_the_way) == 1 else "stand"
            text += f"; {', '.join(in_the_way)} {verb} in the plainest and {_STAYING[demand.rule]}"
        return Reason(demand.rule, subject, text)
    rule = BY_NAME.get(demand.rule)
    meaning = f"{rule.meaning} ({rules[rule.name]:g} {rule.unit})" if rule else demand.rule
    return Reason(demand.rule, subject, f"{subject}: {meaning}")


def _named(rule: str) -> tuple[str]:
    return (rule,)


def _clamps(laid: LaidWeldment, part: LaidPart) -> str:
    count, per = clamps_needed(laid, part), laid.rules["clamp.per_length"]
    return f"{count} clamp{'s' if count > 1 else ''} needed, one per {per:g} mm begun"


def _support(laid: LaidWeldment, part: LaidPart) -> str:
    margin = support_margin(laid, part)
    bottom = part.extent(np.array([0.0, 0.0, 1.0]))[0]
    if part.part.section.round and abs(float(part.frame[2, 2])) < LYING:
        return f"a round part bears along a line only: V-blocks must carry it, {margin:.3g} mm to either side of its middle"
    return f"supports {bottom:.4g} mm above the table are needed, with the centre of gravity {margin:.3g} mm inside their outline"


def _points(laid: LaidWeldment, part: LaidPart) -> str:
    bottom = part.extent(np.array([0.0, 0.0, 1.0]))[0]
    return f"three points of support are needed (a round part lying: two), {bottom:.4g} mm above the table"


def _spacing(laid: LaidWeldment, part: LaidPart) -> str:
    normals = [np.array([math.cos(a), math.sin(a), 0.0]) for a in np.radians([0.0, 90.0])]
    most = max(side_spacing(laid, part, normal) for normal in normals)
    ratio = laid.rules["locate.side_spacing_ratio"]
    return f"the outermost points of its side must be {most:.4g} mm apart ({ratio:g} of its length)"


def _side(laid: LaidWeldment, part: LaidPart) -> str:
    low, high = part.extent(np.array([0.0, 0.0, 1.0]))
    return f"two points of contact on one upright side are needed, {low:.4g} to {high:.4g} mm above the table"


def _end(laid: LaidWeldment, part: LaidPart) -> str:
    low, high = part.extent(np.array([0.0, 0.0, 1.0]))
    return f"a stop across its side is needed for the end, {low:.4g} to {high:.4g} mm above the table"


_OF_A_PART = {
    "clamp.per_length": _clamps,
    "locate.support": _support,
    "locate.support_points": _points,
    "locate.side_spacing_ratio": _spacing,
    "locate.side": _side,
    "locate.end": _end,
}
_OF_ALL = {
    "clear.body": "pieces keep {clear_body} mm from each other, and every peg needs a hole of its own",
    "clamp.over_support": "a down clamp presses within {clamp_over_support} mm of table, carrying part or rest",
    "clamp.against": "a side clamp needs a stop of its part to push against",
    "clamp.away": "a side clamp must not push a part off a stop",
    "torch.work_tolerance": (
        "weld {subject}: hardware must leave torch and hand a direction within {torch_work_tolerance} deg of the bisector and "
        "{torch_travel_angle} deg along the weld, at every sample"
    ),
    "way.in": (
        "{subject}: a way in is needed past the hardware and the parts already in: from straight above, from the side or over "
        "an edge, {way_lift} mm"
    ),
    "way.out": "the finished weldment needs a way out past the hardware with the clamps open: up, or lifted and slid",
}
_STAYING = {"way.in": "have to stand while parts go in", "way.out": "may not be pulled"}
