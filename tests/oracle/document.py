"""A choice written down as a plan document, from request and stock alone."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from typing import Any

import numpy as np

from inventory.items import Solid
from inventory.shapes import Array, Prism
from inventory.stock import StockSnapshot
from inventory.tables import Table, hole_label
from tests.oracle.blocking import Torches, Way
from tests.oracle.choosing import Chosen
from tests.oracle.laying import Lying, Mate
from tests.oracle.offers import Contact, Hole, Offer
from tests.oracle.price import lines

Document = dict[str, Any]


def written(
    lying: Lying, stock: StockSnapshot, table: Table, seat: Hole, shift: Array, offers: Sequence[Offer], mates: Sequence[Mate],
    order: Sequence[int], torches: Torches, ways: Sequence[Way], chosen: Chosen,
) -> Document:  # fmt: skip
    """Return the plan document of a choice; `seat` is the hole under the offers' first, `shift` where the weldment stands."""
    request = lying.request
    picked = [offers[k] for k in chosen.offers]
    move = np.eye(4)
    move[:3, 3] = shift
    place = move @ lying.place
    ids = [part.part.id for part in lying.parts]
    placements: list[Document] = []
    for number, offer in enumerate(picked, 1):
        placements += _placements(f"k{number}", offer, seat, shift, ids, chosen)
    clamps = [entry["id"] for entry in placements if stock.items[entry["item"]].clamp is not None]
    cost = lines(request, stock, [offer.stack for offer in picked])
    used = Counter(item for offer in picked for item in offer.stack.items)
    alternative = {
        "rank": 1, "title": "cheapest", "table": table.id,
        "cost": {key: value for key, value in cost.items() if key.endswith("_cents")},
        "setup_s": cost["setup_s"], "cycle_s": cost["cycle_s"],
        "lie": {"down": lying.down, "turn": lying.turn}, "weldment_to_table": place.tolist(),
        "parts": [
            {"id": part.id, "solids": [_prism(part.drawn, place)], "rests_on": []} for part in request.weldment.parts
        ],
        "placements": placements,
        "part_contacts": [
            {"part": ids[m.part], "on": ids[m.on], "patch": _corners(m.patch, shift), "normal": m.normal.tolist()} for m in mates
        ],
        "welds": _welds(lying, torches, picked, shift),
        "load": [
            {
                "part": ids[part],
                "moves": [_move(-step) for step in reversed(ways[chosen.load_ways[part]])],
                "then_close": clamps if part == order[-1] else [],
            }
            for part in order
        ],
        "unload": {"pull": [], "open": clamps, "moves": [_move(step) for step in ways[chosen.unload_way]]},
        "findings": [],
        "kit": [{"item": item, "count": count, "bin": stock.lines[item].bin} for item, count in sorted(used.items())],
        "differs": "",
    }  # fmt: skip
    total = cost["total_cents"]
    return {
        "format": "holdwright.plan/1", "status": "feasible", "stopped_by": "time", "cost_bound_cents": 0,
        "gap": 1.0 if total else 0.0, "solve_s": 0.0, "rules_version": request.rules.version, "rules": dict(request.rules.changes),
        "stock_version": stock.version, "seed": request.seed, "alternatives": [alternative], "refused": None,
    }  # fmt: skip


def _placements(name: str, offer: Offer, seat: Hole, shift: Array, ids: Sequence[str], chosen: Chosen) -> list[Document]:
    found: list[Document] = []
    top = len(offer.stack.levels) - 1
    to_table = np.eye(4)
    to_table[:3, 3] = offer.base + shift
    for depth, level in enumerate(offer.stack.levels):
        item, last = level.item, depth == top
        frame = to_table @ level.frame
        moved = np.eye(4)
        if last and offer.setting is not None and item.slide is not None:
            moved[:3, 3] = offer.setting * np.array(item.slide.along)
        if last and offer.setting is not None and item.clamp is not None:
            reach = np.array(item.clamp.reach[1]) - np.array(item.clamp.reach[0])
            moved[:3, 3] = offer.setting * reach / np.linalg.norm(reach)
        opened = None
        if item.clamp is not None and item.clamp.open_solids is not None:
            opened = [_prism(prism, frame) for prism in item.clamp.open_solids]
        found.append(
            {
                "id": f"{name}-{depth}", "item": item.id, "turn": level.turn,
                "hole": hole_label((offer.hole[0] + seat[0], offer.hole[1] + seat[1])) if depth == 0 else None,
                "stands_on": f"{name}-{depth - 1}" if depth else None,
                "setting_mm": offer.setting if last else None,
                "locates": _locates(offer, ids, chosen) if last and item.clamp is None else [],
                "solids": [_solid(solid, frame, moved) for solid in item.solids], "open_solids": opened,
                "contacts": [_contact(contact, offer, ids, shift) for contact in offer.contacts] if last else [],
                "why": "",
            }
        )  # fmt: skip
    return found


def _locates(offer: Offer, ids: Sequence[str], chosen: Chosen) -> list[Document]:
    roles = dict.fromkeys((ids[contact.part], _role(contact, chosen)) for contact in offer.contacts)
    return [{"part": part, "as": role} for part, role in roles]


def _role(contact: Contact, chosen: Chosen) -> str:
    axis = contact.flat.axis
    if axis == 2:
        return "support"
    return "side" if chosen.sides[contact.part] == (axis, int(contact.normal[axis])) else "end"


def _contact(contact: Contact, offer: Offer, ids: Sequence[str], shift: Array) -> Document:
    middle = (contact.patch[:3] + contact.patch[3:]) / 2
    at = np.where(np.arange(3) == contact.flat.axis, middle, offer.tip) if offer.stack.clamps else middle
    return {
        "part": ids[contact.part], "face": contact.flat.label, "at": (at + shift).tolist(), "normal": contact.normal.tolist(),
        "patch": _corners(contact.patch, shift),
    }  # fmt: skip


def _corners(patch: Array, shift: Array) -> list[list[float]]:
    """Return the four corners of a flat box, one after the other round it."""
    low, high = patch[:3] + shift, patch[3:] + shift
    flat = int((patch[3:] - patch[:3]).argmin())
    a, b = (axis for axis in range(3) if axis != flat)
    found = []
    for first, second in ((0, 0), (1, 0), (1, 1), (0, 1)):
        corner = low.copy()
        corner[a] = (low, high)[first][a]
        corner[b] = (low, high)[second][b]
        found.append(corner.tolist())
    return found


def _solid(solid: Solid, frame: Array, moved: Array) -> Document:
    return _prism(solid.prism, frame @ moved if solid.moves else frame)


def _prism(prism: Prism, frame: Array) -> Document:
    return {
        "outline": [list(point) for point in prism.outline], "cutouts": [[list(p) for p in ring] for ring in prism.cutouts],
        "from": prism.start, "to": prism.end, "frame": (frame @ np.array(prism.frame)).tolist(),
    }  # fmt: skip


def _welds(lying: Lying, torches: Torches, picked: Sequence[Offer], shift: Array) -> list[Document]:
    shut = np.zeros(len(torches.sample), bool)
    for offer in picked:
        shut |= offer.torches
    found = []
    for number, weld in enumerate(lying.request.weldment.welds):
        samples = []
        for k, sample in enumerate(lying.samples):
            free = np.flatnonzero((torches.sample == k) & ~shut)
            if sample.weld == number and len(free):
                samples.append({"at": (sample.at + shift).tolist(), "torch": torches.directions[free[0]].tolist()})
        found.append({"id": weld.id, "samples": samples})
    return found


def _move(step: Array) -> Document:
    far = float(np.linalg.norm(step))
    return {"direction": (step / far + 0.0).tolist(), "distance": far}
