"""A valid job made by hand: a tab on a square tube, out over its side, and the plan document that holds it.

Tube 60 x 4, 600 long, at x 135..735, y 255..315; tab 120 x 95 x 8 at x 295..415, y 265..360, z 60..68. Eleven pieces, all
coordinates worked out by hand from the hole pitch of 40.
"""

from __future__ import annotations

import copy
from collections.abc import Callable, Mapping, Sequence
from typing import Any

import numpy as np

from inventory.items import Item
from inventory.shapes import Array, Prism, turned
from inventory.stock import StockSnapshot
from inventory.tables import parse_hole
from solver.checks import check
from solver.request import Request
from solver.weldment import OpenDimension, Tolerance
from tests import builders as b

Document = dict[str, Any]
Change = Callable[[Document], None]
HALF = 0.7071067811865476


def request(**more: Any) -> Request:
    """Ten tabs on tubes, as drawn."""
    tube = b.tube(width=60, wall=4, length=600, at=(0, 0, 30))
    tab = b.plate("tab", (120, 95), 8, (160, -20, 60))
    welds = (
        b.fillet("w1", ("tube", "tab"), (280, -18, 60), (280, 20, 60)),
        b.fillet("w2", ("tube", "tab"), (160, -18, 60), (160, 20, 60)),
        b.fillet("w3", ("tube", "tab"), (165, -20, 60), (275, -20, 60), in_fixture="tack"),
    )
    weldment = b.weldment(
        tube,
        tab,
        welds=welds,
        tolerances=(
            Tolerance("tab", (160, -20, 60), (1, 0, 0), 0.8),
            Tolerance("tab", (280, 75, 60), (0, 1, 0), 1.0, "tube"),
        ),
        open_dimensions=(OpenDimension("tab", (0, 1, 0), -4, 10),),
    )
    return b.request(weldment, **more)


def stock(**changes: int) -> StockSnapshot:
    """Just enough hardware."""
    counts = {"stop": 3, "tall": 1, "riser": 2, "adjustable": 2, "rest": 1, "long": 2, **changes}
    items = (
        b.stop(),
        b.stop("tall", height=80),
        b.riser(),
        b.adjustable_stop(),
        b.rest(height=60),
        b.down_clamp("long", reach=120),
    )
    return b.shelf(*((item, counts[item.id]) for item in items))


def plan() -> Document:
    """The plan, optimal by its own word."""
    alternative = tab_alternative()
    return {
        "format": "holdwright.plan/1",
        "status": "optimal",
        "stopped_by": "proof",
        "cost_bound_cents": alternative["cost"]["total_cents"],
        "gap": 0.0,
        "solve_s": 0.1,
        "rules_version": 1,
        "rules": {"clear.weld": 15},
        "stock_version": 1,
        "seed": 1,
        "alternatives": [alternative],
        "refused": None,
    }


def tab_alternative() -> Document:
    """The one alternative."""
    items = stock().items
    place = [[1, 0, 0, 135], [0, 1, 0, 285], [0, 0, 1, 0], [0, 0, 0, 1]]
    tube, tab = request().weldment.parts
    pieces = [
        piece(
            items["stop"],
            "s1",
            "E6",
            0,
            [("tube", "side")],
            [pad("tube", "side:2", (200, 255, 30), (0, 1, 0), x=(186, 214), z=(8, 52))],
        ),
        piece(
            items["stop"],
            "s2",
            "P6",
            0,
            [("tube", "side")],
            [pad("tube", "side:2", (640, 255, 30), (0, 1, 0), x=(626, 654), z=(8, 52))],
        ),
        piece(
            items["stop"],
            "e1",
            "C7",
            270,
            [("tube", "end")],
            [pad("tube", "start", (135, 280, 30), (1, 0, 0), y=(266, 294), z=(0, 60))],
        ),
        piece(
            items["tall"],
            "e2",
            "G9",
            270,
            [("tab", "end")],
            [pad("tab", "side:3", (295, 353, 64), (1, 0, 0), y=(346, 360), z=(60, 68))],
        ),
        piece(items["riser"], "r1", "H10", 0, [], []),
        piece(
            items["adjustable"],
            "a1",
            None,
            180,
            [("tab", "side")],
            [pad("tab", "side:2", (320, 360, 64), (0, -1, 0), x=(306, 334), z=(60, 68))],
            on=("r1", (320, 400, 40)),
            setting=20,
        ),
        piece(items["riser"], "r2", "J10", 0, [], []),
        piece(
            items["adjustable"],
            "a2",
            None,
            180,
            [("tab", "side")],
            [pad("tab", "side:2", (400, 360, 64), (0, -1, 0), x=(386, 414), z=(60, 68))],
            on=("r2", (400, 400, 40)),
            setting=20,
        ),
        piece(
            items["rest"],
            "k1",
            "I9",
            0,
            [("tab", "support")],
            [pad("tab", "start", (360, 352, 60), (0, 0, 1), x=(345, 375), y=(345, 360))],
        ),
        piece(
            items["long"],
            "c1",
            "Q4",
            0,
            [],
            [pad("tube", "side:1", (680, 280, 60), (0, 0, -1), x=(672, 688), y=(272, 288))],
            setting=55,
        ),
        piece(
            items["long"],
            "c2",
            "I5",
            0,
            [],
            [pad("tab", "end", (360, 320, 68), (0, 0, -1), x=(352, 368), y=(312, 328))],
            setting=63,
        ),
    ]
    return {
        "rank": 1,
        "title": "cheapest",
        "table": "T1",
        "cost": {
            "total_cents": 1832,
            "setup_cents": 1002,
            "cycle_cents": 550,
            "tie_up_cents": 220,
            "shortage_cents": 0,
            "weights_cents": 60,
        },
        "setup_s": 656,
        "cycle_s": 36,
        "lie": {"down": "-z", "turn": 0},
        "weldment_to_table": place,
        "parts": [
            {"id": part.id, "solids": [prism(solid, np.array(place) @ part.pose.frame())], "rests_on": rests}
            for part, solid, rests in (
                (tube, Prism(tube.section.outline, 0, 600, tube.section.cutouts), ["table"]),
                (tab, Prism(tab.section.outline, 0, 8), ["tube", "k1"]),
            )
        ],
        "placements": pieces,
        "part_contacts": [
            {
                "part": "tab",
                "on": "tube",
                "normal": [0, 0, 1],
                "patch": [[295, 265, 60], [415, 265, 60], [415, 307, 60], [295, 307, 60]],
            }
        ],
        "welds": [
            {"id": "w1", "samples": samples((415, 267), (415, 305), 5, (-HALF, 0, -HALF))},
            {"id": "w2", "samples": samples((295, 267), (295, 305), 5, (HALF, 0, -HALF))},
            {
                "id": "w3",
                "samples": [
                    *samples((300, 265), (315, 265), 3, (0, HALF, -HALF)),
                    *samples((395, 265), (410, 265), 3, (0, HALF, -HALF)),
                ],
            },
        ],
        "load": [
            {"part": "tube", "moves": [move(0, 0, -1, 200), move(0, -1, 0, 20), move(-1, 0, 0, 20)], "then_close": ["c1"]},
            {"part": "tab", "moves": [move(0, 0, -1, 150), move(0, 1, 0, 5), move(-1, 0, 0, 5)], "then_close": ["c2"]},
        ],
        "unload": {"pull": [], "open": ["c1", "c2"], "moves": [move(0, 0, 1, 200)]},
        "findings": [],
        "kit": [
            {"item": item, "count": count, "bin": "A1"}
            for item, count in (("stop", 3), ("tall", 1), ("riser", 2), ("adjustable", 2), ("rest", 1), ("long", 2))
        ],
        "differs": "",
    }


def mutated(change: Change) -> Document:
    """Return the plan after a change to its alternative."""
    document = copy.deepcopy(plan())
    change(document["alternatives"][0])
    return document


def rules_failed(document: Document, asked: Request | None = None) -> set[str]:
    """Return the rules that a plan breaks."""
    return {finding.rule for finding in check(asked or request(), stock(), document).failed}


def rebuilt(id: str, **changes: Any) -> Change:
    """Put a placement elsewhere by the catalogue: solids follow hole, turn and setting, contacts stay."""

    def change(alternative: Document) -> None:
        entry = placement(alternative, id)
        given = {name: entry[name] for name in ("hole", "turn")} | {"setting": entry["setting_mm"], "on": None} | changes
        item = stock().items[entry["item"]]
        entry.update(piece(item, id, locates=[], contacts=entry["contacts"], **given) | {"locates": entry["locates"]})

    return change


def placement(alternative: Mapping[str, Any], id: str) -> Document:
    """Return a placement of that id."""
    found: Document = next(entry for entry in alternative["placements"] if entry["id"] == id)
    return found


def piece(
    item: Item,
    id: str,
    hole: str | None,
    turn: float,
    locates: Sequence[tuple[str, str]],
    contacts: Sequence[Document],
    on: tuple[str, tuple[float, float, float]] | None = None,
    setting: float | None = None,
) -> Document:
    """Return a placement with its solids where hole (or place on a carrier), turn and setting put them."""
    if on is None:
        column, row = parse_hole(hole or "")
        at = (40.0 + 40 * column, 40.0 + 40 * row, 0.0)
    else:
        at = on[1]
    frame = turned(turn, at)
    return {
        "id": id,
        "item": item.id,
        "hole": hole,
        "turn": turn,
        "stands_on": on[0] if on else None,
        "setting_mm": setting,
        "locates": [{"part": part, "as": role} for part, role in locates],
        "solids": [prism(solid.prism, frame @ shifted(item, setting if solid.moves else None)) for solid in item.solids],
        "open_solids": None if item.clamp is None else [prism(solid, frame) for solid in item.clamp.open_solids or ()],
        "contacts": list(contacts),
        "why": "by hand",
    }


def shifted(item: Item, setting: float | None) -> Array:
    """Return the frame a setting moves things by."""
    frame = np.eye(4)
    if setting is not None and item.slide is not None:
        frame[:2, 3] = setting * np.array(item.slide.axis)
    elif setting is not None and item.clamp is not None:
        step = np.array(item.clamp.reach[1]) - np.array(item.clamp.reach[0])
        frame[:3, 3] = setting * step / np.linalg.norm(step)
    return frame


def prism(solid: Prism, frame: Array) -> Document:
    """Return a prism document under a frame."""
    placed = solid.placed(frame)
    return {
        "outline": [list(point) for point in placed.outline],
        "cutouts": [[list(point) for point in ring] for ring in placed.cutouts],
        "from": placed.start,
        "to": placed.end,
        "frame": [list(row) for row in placed.frame],
    }


def pad(
    part: str,
    face: str,
    at: tuple[float, float, float],
    normal: tuple[float, float, float],
    x: tuple[float, float] | None = None,
    y: tuple[float, float] | None = None,
    z: tuple[float, float] | None = None,
) -> Document:
    """Return a contact whose patch is the rectangle given by two of its ranges, in the plane of `at`."""
    ranges = [one if one is not None else (at[k],) for k, one in enumerate((x, y, z))]
    patch = [[a, c, e] for a in ranges[0] for c in ranges[1] for e in ranges[2]]
    patch[2], patch[3] = patch[3], patch[2]
    return {"part": part, "face": face, "at": list(at), "normal": list(normal), "patch": patch}


def samples(
    start: tuple[float, float], end: tuple[float, float], count: int, torch: tuple[float, float, float]
) -> list[Document]:
    """Return evenly spaced samples at z = 60."""
    steps = np.linspace(start, end, count)
    return [{"at": [float(x), float(y), 60.0], "torch": list(torch)} for x, y in steps]


def move(x: float, y: float, z: float, distance: float) -> Document:
    """Return one straight move."""
    return {"direction": [x, y, z], "distance": distance}


__all__ = ["move", "mutated", "pad", "piece", "placement", "plan", "request", "samples", "stock", "tab_alternative"]
