"""Plain documents to plant faults in: every one is valid as it stands."""

from __future__ import annotations

import json
from typing import Any

Plain = dict[str, Any]


def tube(id: str, y: float = 0, width: float = 50) -> Plain:
    """A square tube along x, lying on the ground beside the ones at other y."""
    section = {"shape": "square_tube", "width": width, "wall": 3}
    return {"id": id, "section": section, "length": 600, "pose": {"at": [0, y, 25], "along": [1, 0, 0], "up": [0, 0, 1]}}


def plate(id: str, y: float = 0) -> Plain:
    """A level plate with a square hole, apart from the tubes."""
    outline, hole = [[0, 0], [100, 0], [100, 80], [0, 80]], [[40, 30], [60, 30], [60, 50], [40, 50]]
    section = {"shape": "plate", "outline": outline, "cutouts": [hole], "thickness": 8}
    return {"id": id, "section": section, "pose": {"at": [0, y, 0], "along": [0, 0, 1], "up": [0, 1, 0]}}


def weld(id: str, one: str = "t0", two: str = "t1") -> Plain:
    """A fillet along the line where the first two tubes of `request` meet."""
    return {"id": id, "parts": [one, two], "path": [[0, 25, 50], [600, 25, 50]], "kind": "fillet", "leg": 4}


def weldment(tubes: int = 2) -> Plain:
    """Tubes side by side, the first two touching, the others 100 mm apart."""
    places = [0, 50] + [100 * (k - 1) + 50 for k in range(2, tubes)]
    parts = [tube(f"t{k}", y) for k, y in enumerate(places[:tubes])]
    return {"format": "holdwright.weldment/1", "name": "row", "parts": parts, "welds": [weld("w0")]}


def request(tubes: int = 2) -> Plain:
    """A request for a row of tubes."""
    return {
        "format": "holdwright.request/1",
        "weldment": weldment(tubes),
        "quantity": 20,
        "needed": {"from": "2027-03-01", "to": "2027-03-03"},
        "tables": ["T1"],
        "lie": {"down": ["-z"], "turn": [0, 90]},
        "rules": {"base": "default", "set": {"weights.adjustable": 50}},
        "without": {"items": {"stop": 1}, "holes": ["C7", "T1/D8"]},
    }


def table(id: str = "T1") -> Plain:
    """A table of 20 by 10 holes."""
    return {
        "format": "holdwright.table/1", "id": id, "size": [840, 440], "first": [40, 40], "pitch": 40, "columns": 20, "rows": 10,
        "hole_diameter": 14, "thickness": 14, "blocked_holes": ["B2"],
    }  # fmt: skip


def item(id: str = "stop", kind: str = "stop", **more: Any) -> Plain:
    """A plain stop unless told otherwise."""
    return {
        "format": "holdwright.item/1", "id": id, "kind": kind, "pegs": [[0, 0]], "turns": [0, 90, 180, 270],
        "solids": [{"outline": [[-15, -15], [15, -15], [15, 15], [-15, 15]], "from": 0, "to": 50}],
        "contacts": [{"at": [0, 15, 25], "normal": [0, 1, 0], "width": 30, "height": 50}],
        "repeatability_mm": 0.05, "stiffness_n_per_mm": 15000, "mass_kg": 1, "place_s": 30, "day_rate_cents": 40,
        "price_cents": 4000, "lead_days": 5, **more,
    }  # fmt: skip


def adjustable(id: str = "toe") -> Plain:
    """A stop whose face moves 25 mm."""
    made = item(id, "adjustable_stop", slide={"axis": [0, 1], "range": [0, 25], "step": 0.5})
    made["contacts"][0]["moves"] = True
    return made


def clamp(id: str = "clamp") -> Plain:
    """A down clamp."""
    pad = {"at": [0, 60, 20], "normal": [0, 0, -1], "width": 10, "height": 10, "moves": True}
    reach = [[0, 60, 20], [0, 60, 100]]
    force = {"force_n": 1800, "direction": [0, 0, -1], "reach": reach, "close_s": 3, "open_s": 3}
    return item(id, "down_clamp", contacts=[pad], clamp=force)


def stock() -> Plain:
    """One table, a stop, an adjustable stop and a clamp, counted."""
    counts = [("stop", 8), ("toe", 4), ("clamp", 4)]
    return {
        "tables": [table()],
        "items": [item(), adjustable(), clamp()],
        "stock": [{"item": id, "count": count, "out_of_service": 1, "bin": "A1"} for id, count in counts],
    }


def plan() -> Plain:
    """A plan with one alternative: a stop on a riser."""
    prism = {"outline": [[0, 0], [10, 0], [10, 10], [0, 10]], "from": 0, "to": 10}
    rows = [[1, 0, 0, 0], [0, 1, 0, 0], [0, 0, 1, 0], [0, 0, 0, 1]]

    def placement(id: str, hole: str | None, stands_on: str | None) -> Plain:
        pad = {"part": "t0", "face": "side:0", "at": [0, 0, 0], "normal": [0, 1, 0], "patch": [[0, 0, 0], [1, 0, 0], [1, 0, 1]]}
        return {
            "id": id, "item": "stop", "hole": hole, "turn": 0, "stands_on": stands_on, "setting_mm": None,
            "locates": [{"part": "t0", "as": "side"}], "solids": [prism], "open_solids": None, "contacts": [pad],
        }  # fmt: skip

    cents = ("total_cents", "setup_cents", "cycle_cents", "tie_up_cents", "shortage_cents", "weights_cents")
    alternative = {
        "rank": 1, "title": "cheapest", "table": "T1", "cost": dict.fromkeys(cents, 0), "setup_s": 100, "cycle_s": 30,
        "lie": {"down": "-z", "turn": 0}, "weldment_to_table": rows,
        "parts": [{"id": "t0", "solids": [prism], "rests_on": ["table"]}],
        "placements": [placement("p1", "C7", None), placement("p2", None, "p1")],
        "part_contacts": [{"part": "t1", "on": "t0", "patch": [[0, 0, 0]], "normal": [0, 1, 0]}],
        "welds": [{"id": "w0", "samples": [{"at": [0, 0, 0], "torch": [0, 0, -1]}]}],
        "load": [{"part": "t0", "moves": [{"direction": [0, 0, -1], "distance": 150}], "then_close": []}],
        "unload": {"pull": [], "open": [], "moves": [{"direction": [0, 0, 1], "distance": 150}]},
        "findings": [], "kit": [{"item": "stop", "count": 2, "bin": "A1"}], "differs": "",
    }  # fmt: skip
    alone: Plain = json.loads(json.dumps(alternative))  # no object of it is shared, so that one may be spoiled alone
    return {"format": "holdwright.plan/1", "status": "optimal", "stopped_by": "proof", "alternatives": [alone]}


def planted(document: Plain, pointer: str, value: Any) -> Plain:
    """Put a value at a pointer of a document, in place; return the document."""
    *steps, last = pointer.split("/")[1:]
    here: Any = document
    for step in steps:
        here = here[int(step)] if isinstance(here, list) else here.setdefault(step, {})
    if isinstance(here, list):
        here[int(last) :] = [value, *here[int(last) + 1 :]]
    else:
        here[last] = value
    return document


def dropped(document: Plain, pointer: str) -> Plain:
    """Take the member at a pointer out of a document, in place; return the document."""
    *steps, last = pointer.split("/")[1:]
    here: Any = document
    for step in steps:
        here = here[int(step)] if isinstance(here, list) else here[step]
    del here[last]
    return document
