"""What a refusal names, lifted: rules asked for nothing, tables without end, pieces as slim, long and many as could be wished.

Nothing here is the planner's: a request and a shelf are changed as a shop could change them if cost were no matter, and planned
again. What is named is the cause if that is no proof of the contrary any more.
"""

from __future__ import annotations

import time
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any, Literal

import numpy as np

from inventory.items import Clamp, Contact, Item, Slide
from inventory.shapes import Array
from inventory.stock import StockLine, StockSnapshot
from inventory.tables import Table
from solver.deadline import Deadline
from solver.laying.lies import least_rotation
from solver.planning import plan
from solver.plans import Plan, Reason
from solver.request import Request, Without
from solver.weldment import Part
from tests import builders as b
from tests.properties.shops import vee

PLENTY = 500
"""Pieces of an item that nobody could run out of."""
FAR = 400.0
"""How far ahead of its hole a spare piece reaches, mm."""
HIGH = 1500.0
"""How high above the table a spare piece reaches, mm."""
NEAR_WELDS = {"clear.weld": 0.0, "clear.weld_locator": 0.0}
EASIEST: Mapping[str, Mapping[str, float]] = {
    "torch.work_tolerance": {"torch.work_tolerance": 45, "torch.travel_angle": 60},
    "locate.side_spacing_ratio": {"locate.side_spacing_ratio": 0},
    "locate.side_face_ratio": {"locate.side_face_ratio": 0},
    "locate.pad_share": {"locate.pad_share": 0},
    "clamp.pad_share": {"clamp.pad_share": 0},
    "locate.side": {
        **NEAR_WELDS, "locate.side_spacing_ratio": 0, "locate.side_face_ratio": 0, "locate.opposed": 1,
        "locate.condition_max": 1e6,
    },
    "locate.end": {**NEAR_WELDS, "locate.opposed": 1, "locate.condition_max": 1e6},
    "locate.support": {"locate.support_margin": 0},
    "locate.opposed": {"locate.opposed": 1},
    "locate.condition_max": {"locate.condition_max": 1e6},
    "locate.tolerance_share": {"locate.tolerance_share": 1},
    "clamp.per_length": {**NEAR_WELDS, "clamp.per_length": 20000, "clamp.max_part_pressure": 1},
    "clamp.over_support": {"clamp.over_support": 500},
    "hold.handling_n": {
        "hold.handling_n": 0, "hold.shrink_n_per_mm2": 0, "hold.friction": 1, "stack.deflection_max": 10, "clamp.safety": 1
    },
    "clear.body": {"clear.body": 0},
    "way.in": {"way.lift": 1, "way.clear": 0},
    "way.out": {"way.lift": 1, "way.clear": 0},
    "load.order": {"way.lift": 1, "way.clear": 0},
}  # fmt: skip
"""The rules' numbers that ask for the least, by the reason that names them."""
WELDED_OUTSIDE = ("torch.open_side", "torch.shut_in", "torch.table", "torch.work_tolerance")
LOCATING = (
    "locate.side", "locate.end", "locate.side_spacing_ratio", "locate.side_face_ratio", "open_dimensions.follow", "clear.body",
    "clamp.against",
)  # fmt: skip
CARRYING = ("locate.support", "locate.support_points", "clamp.over_support", "clear.body")
CLAMPING = ("clamp.per_length", "clamp.against", "clamp.away", "hold.handling_n", "clear.body")

Verdict = Literal["helps", "open", "shut by others", "stays shut"]


@dataclass(frozen=True)
class Lifted:
    """What became of a refusal once all it names was lifted.

    `helps`: there is a fixture. `open`: neither a fixture nor a proof. `shut by others`: there is still none, for what was not
    named and not lifted. `stays shut`: there is still none, for the same that was named: what could be wished for is not enough.
    """

    verdict: Verdict
    because: tuple[Reason, ...] = ()


def lifted(request: Request, stock: StockSnapshot, because: Sequence[Reason]) -> tuple[Request, StockSnapshot]:
    """Return a request and a stock in which nothing of what is named stands in the way."""
    rules = {name: value for reason in because for name, value in EASIEST.get(reason.rule, {}).items()}
    named = {(reason.rule, reason.subject) for reason in because}
    weldment = request.weldment
    outside = {subject for rule, subject in named if rule in WELDED_OUTSIDE}
    follow = {subject for rule, subject in named if rule == "open_dimensions.follow"}
    asked = replace(
        weldment,
        welds=tuple(replace(weld, in_fixture="none") if weld.id in outside else weld for weld in weldment.welds),
        tolerances=() if any(rule == "locate.tolerance_share" for rule, _ in named) else weldment.tolerances,
        open_dimensions=tuple(entry for entry in weldment.open_dimensions if entry.part not in follow),
    )
    missing = {subject for rule, subject in named if rule == "stock.counted"}
    without = Without(
        {item: count for item, count in request.without.items.items() if item not in missing}, request.without.holes
    )
    tables = {name: _table(table, named) for name, table in stock.tables.items()}
    spare = list(_spare(request, named))
    lines = {
        **stock.lines,
        **{item: StockLine(item, PLENTY) for item in missing},
        **{item.id: StockLine(item.id, PLENTY) for item in spare},
    }
    changed = replace(
        request, weldment=asked, without=without, rules=replace(request.rules, changes={**request.rules.changes, **rules})
    )
    return changed, replace(stock, tables=tables, items={**stock.items, **{item.id: item for item in spare}}, lines=lines)


def judged(request: Request, stock: StockSnapshot, because: Sequence[Reason], seconds: float) -> Lifted:
    """Lift all that a refusal names, plan again for so many seconds of the processor, and say what became of it."""
    asked, shelf = lifted(request, stock, because)
    again = _first(replace(asked, alternatives=1), shelf, seconds)
    if again.alternatives:
        return Lifted("helps")
    assert again.refused is not None
    if again.status == "unknown":
        return Lifted("open", again.refused.because)
    named = {(reason.rule, reason.subject) for reason in because}
    others = [reason for reason in again.refused.because if (reason.rule, reason.subject) not in named]
    return Lifted("shut by others" if others else "stays shut", again.refused.because)


def _first(request: Request, stock: StockSnapshot, seconds: float) -> Plan:
    """Plan until there is a first fixture."""
    told: list[object] = []
    deadline = Deadline.on(time.process_time, seconds, lambda: bool(told))
    return plan(request, stock, deadline=deadline, on_progress=told.append)


def _table(table: Table, named: set[tuple[str, str]]) -> Table:
    """Return a table as large and strong as what is named asks for."""
    if ("table.max_load", table.id) in named:
        table = replace(table, max_load_kg=None)
    if ("table.size", table.id) in named:
        holes = 200
        size = table.pitch * (holes + 1)
        table = replace(
            table, size=(size, size), first=(table.pitch, table.pitch), columns=holes, rows=holes, blocked_holes=frozenset()
        )
    return table


def _spare(request: Request, named: set[tuple[str, str]]) -> Iterator[Item]:
    """Yield pieces that meet a part wherever it lies: posts as thin as a pencil with tips that float ahead, above or over it."""
    rules = {rule for rule, _ in named}
    if rules & set(LOCATING):
        about = {subject for rule, subject in named if rule in LOCATING}
        parts = [
            part for part in request.weldment.parts if part.id in about or not about & {p.id for p in request.weldment.parts}
        ]
        yield from (_nose(width, height) for height in _heights(request, parts) for width in (4.0, 30.0))
    if rules & set(CARRYING):
        yield from (_prop(), _cradle())
    if rules & set(CLAMPING):
        yield from (_finger(reach) for reach in (20.0, 45.0, 90.0, 150.0))


def _heights(request: Request, parts: Sequence[Part]) -> list[float]:
    """Return heights above the table, mm, at which a level tip meets some parts of a weldment that lies on it."""
    found: set[float] = set()
    for down in request.down:
        up = least_rotation(down)[2]
        levels = {part.id: _corners(part) @ up for part in request.weldment.parts}
        ground = min(float(level.min()) for level in levels.values())
        for part in parts:
            low, high = float(levels[part.id].min()) - ground, float(levels[part.id].max()) - ground
            found |= {round(low + share * (high - low), 3) for share in ((0.5,) if high - low < 20 else (0.25, 0.75))}
    return sorted(found)


def _corners(part: Part) -> Array:
    """Return the corners of a part's solid, (n, 3)."""
    drawn = part.drawn
    ends = np.array([[*point, w, 1.0] for point in drawn.outline for w in (drawn.start, drawn.end)])
    corners: Array = (ends @ np.array(drawn.frame).T)[:, :3]
    return corners


SPARE: dict[str, Any] = {
    "stiffness_n_per_mm": 1e8,
    "repeatability_mm": 0.0,
    "day_rate_cents": 0,
    "price_cents": 0,
    "mass_kg": 0.0,
    "removable": True,
    "turns": "any",
}


POST = b.box(-2, -2, 2, 2, 0, 1)
"""All there is of a spare piece but its pad."""


def _nose(width: float, height: float) -> Item:
    """A stop whose pad, `width` wide, slides far ahead at a height."""
    pad = Contact((0, 5, height), b.Y, width, 4, moves=True)
    base = b.adjustable_stop(f"spare-nose-{width:g}-{height:g}", **SPARE)
    return replace(base, solids=(POST,), contacts=(pad,), slide=Slide((0.0, 1.0), 0, FAR))


def _prop() -> Item:
    """A rest set to any height."""
    pad = Contact((0, 0, 1), b.Z, 16, 16, moves=True)
    return replace(b.rest("spare-prop", **SPARE), solids=(POST,), contacts=(pad,), slide=Slide((0.0, 0.0, 1.0), 0, HIGH))


def _cradle() -> Item:
    """A V-block set to any height."""
    pads = tuple(replace(pad, moves=True) for pad in vee().contacts)
    base = b.rest("spare-cradle", **SPARE)
    return replace(base, kind="vee", solids=(POST,), contacts=pads, slide=Slide((0.0, 0.0, 1.0), -30, HIGH))


def _finger(reach: float) -> Item:
    """A clamp that presses from above, `reach` ahead of its hole, at any height."""
    pad = Contact((0, reach, 1), (0, 0, -1), 8, 8, moves=True)
    clamp = Clamp(2000, (0.0, 0.0, -1.0), ((0, reach, 1), (0, reach, HIGH)), 0, 0, (POST.prism,))
    return replace(b.down_clamp(f"spare-finger-{reach:g}", **SPARE), solids=(POST,), contacts=(pad,), clamp=clamp)
