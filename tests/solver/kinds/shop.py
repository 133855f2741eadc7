"""A shelf with one of most kinds of hardware, the question asked of it, and the answer looked over by the checker."""

from __future__ import annotations

import math
import time
from dataclasses import replace
from typing import Any

from inventory.items import Contact, Item, Solid
from inventory.shapes import Prism
from inventory.stock import StockSnapshot
from inventory.tables import Table
from service.documents import plan_document
from solver.checks import check
from solver.deadline import Deadline
from solver.explain import confirm
from solver.planning import plan
from solver.plans import Plan, Purchase
from solver.weldment import Weldment
from tests import builders as b
from tests.solver.explain.shops import searched

HALF = math.sqrt(0.5)


def kinds_of_stop() -> list[tuple[Item, int]]:
    """Return stops: short and tall faces, a wide one, an adjustable one, a long nose, a block at any turn, a thin pin."""
    wide = b._item(
        "wide", "stop", (b.box(-15, -15, 55, 15, 0, 60),), (Contact((20, 15, 30), b.Y, 68, 58),), pegs=((0, 0), (1, 0))
    )
    nose = b._item(
        "nose", "stop", (b.box(-14, -14, 14, 14, 0, 75), b.box(-10, 14, 10, 55, 60, 75)), (Contact((0, 55, 67.5), b.Y, 20, 15),)
    )
    far = b._item(
        "far-nose", "stop", (b.box(-14, -14, 14, 14, 0, 75), b.box(-10, 14, 10, 95, 60, 75)),
        (Contact((0, 95, 67.5), b.Y, 20, 15),),
    )  # fmt: skip
    return [
        (far, 6), (b.stop(), 8), (b.stop("stop-20", face=20), 8), (b.stop("low", height=25), 6), (b.stop("tall-stop", height=200), 6),
        (wide, 6), (nose, 6), (swivel(), 6), (b.adjustable_stop(), 6), (b.pin(), 6),
    ]  # fmt: skip


def kinds_of_clamp() -> list[tuple[Item, int]]:
    """Return clamps: near, far and tall ones that press down, one that pushes sideways."""
    return [
        (b.down_clamp(), 8), (b.down_clamp("long-clamp", reach=120), 6), (b.side_clamp(), 4),
        (b.down_clamp("tall-clamp", low=100, high=330), 6), (b.down_clamp("tall-long-clamp", reach=120, low=100, high=330), 6),
    ]  # fmt: skip


def swivel(id: str = "swivel", face: float = 25, **more: Any) -> Item:
    """A block on a round peg that may stand at any turn."""
    pad = Contact((0, face, 32), b.Y, 24, 50)
    return b._item(id, "stop", (b.box(-12, -12, 12, face, 0, 60),), (pad,), **{"turns": "any", **more})


def vee(id: str = "vee", flank: float = 15, height: float = 35, width: float = 30, **more: Any) -> Item:
    """A V-block whose flanks rise at 45 degrees either side of its peg, along x."""
    normals = ((0.0, -HALF, HALF), (0.0, HALF, HALF))
    pads = tuple(Contact((0, side * flank, height), normal, width, 30) for side, normal in zip((1, -1), normals, strict=True))
    solids = tuple(_wedge(width, sign, flank, height) for sign in (1, -1))
    return b._item(id, "vee", (b.box(-width / 2, -30, width / 2, 30, 0, height - flank), *solids), pads, **more)


def _wedge(width: float, sign: float, flank: float, height: float) -> Any:
    foot = height - flank
    outline = ((0.0, foot), (sign * 30.0, foot), (sign * 30.0, foot + 30.0))
    frame = ((0.0, 0.0, 1.0, -width / 2), (1.0, 0.0, 0.0, 0.0), (0.0, 1.0, 0.0, 0.0), (0.0, 0.0, 0.0, 1.0))
    return Solid(Prism(outline, 0.0, width, (), frame))


def upright_vee(id: str = "upright-vee", **more: Any) -> Item:
    """A V-block whose flanks stand upright, at 45 degrees either side of +y, for posts."""
    ramps = (((0.0, 15.0), (30.0, 15.0), (30.0, 45.0)), ((0.0, 15.0), (-30.0, 45.0), (-30.0, 15.0)))
    pads = tuple(Contact((side * 15, 30, 30), (-side * HALF, HALF, 0.0), 30, 60) for side in (1, -1))
    solids = (b.box(-30, -15, 30, 15, 0, 60), *(Solid(Prism(ramp, 0, 60)) for ramp in ramps))
    return b._item(id, "vee", solids, pads, **more)


def full_shelf(*more: tuple[Item, int], without: tuple[str, ...] = (), tables: list[Table] | None = None) -> StockSnapshot:
    """Return the whole shelf, with some items more or less."""
    rests = [(b.rest(), 6), (b.rest("rest-35", height=35), 6), (b.riser(), 6), (b.riser("riser-60", height=60), 6)]
    items = [*kinds_of_stop(), *kinds_of_clamp(), *rests, *more]
    return b.shelf(*((item, count) for item, count in items if item.id not in without), tables=tables)


def planned(weldment: Weldment, stock: StockSnapshot, seconds: float = 20.0, **asked: Any) -> Plan:
    """Return the plan for a weldment, one alternative unless told otherwise, proved and passed by the checker.

    Time is that of this process alone, so that a busy machine changes nothing.
    """
    began = time.process_time()
    request = b.request(weldment, **{"alternatives": 1, **asked})
    found = plan(request, stock, deadline=Deadline(lambda: seconds - (time.process_time() - began)))
    assert found.stopped_by == "proof", found.work
    assert found.work is not None and found.work["dropped"] == 0, "a choice failed the checker"
    if found.alternatives:
        report = check(request, stock, plan_document(found))
        assert report.ok, report.failed
    return found


def impossible(weldment: Weldment, stock: StockSnapshot) -> bool:
    """Whether it is proved, and by the second solver again, that no fixture stands; reasons and what would help are not sought."""
    search = searched(b.request(weldment), stock)
    found, _, proven = search.cheapest(())
    return found is None and proven and confirm(search, Deadline(lambda: 60.0)).agrees is True


def pieces(found: Plan, rank: int = 1) -> list[str]:
    """Return the items of an alternative, sorted."""
    return sorted(placement.item for placement in found.alternatives[rank - 1].placements)


def lacking(stock: StockSnapshot, *items: str) -> StockSnapshot:
    """Return the shelf with no piece left of some items."""
    return replace(stock, lines={id: replace(line, count=0) if id in items else line for id, line in stock.lines.items()})


def missed(weldment: Weldment, stock: StockSnapshot, *items: str, **asked: Any) -> list[str]:
    """Return what a plan is refused for without some items, as sentences: proved, and the first way out buys some of them."""
    found = planned(weldment, lacking(stock, *items), **asked)
    assert found.status == "infeasible" and found.refused is not None
    first = next(repair for repair in found.refused.would_help if isinstance(repair, Purchase))
    assert {line.item for line in first.lines} & set(items), found.refused.because
    return [reason.text for reason in found.refused.because]
