"""Several stations on one table: an alternative taken apart, one answer a station; the stations kept clear of each other."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import combinations
from typing import TypeVar

import numpy as np

from inventory.shapes import Array
from solver.checks.arithmetic.blocks import Block
from solver.checks.report import fail, summary
from solver.checks.rules.bodies_apart import bounds_of, gap
from solver.checks.scene.scene import Scene, SetPiece
from solver.checks.tolerances import CLEARANCE_SLACK, ON_TABLE, SAME_DIRECTION, SAME_PLACE
from solver.plans import (
    Alternative,
    Finding,
    LoadStep,
    PartContact,
    PlacedPart,
    Placement,
    Station,
    WeldSamples,
)
from solver.request import Request

E = TypeVar("E", PlacedPart, Placement, PartContact, WeldSamples, LoadStep)
SHARED = ("parts", "placements", "part_contacts", "welds", "load")


def by_station(alternative: Alternative) -> tuple[Alternative, ...]:
    """Return the fixtures of an alternative as answers of their own, one a station."""
    return tuple(_own(alternative, station) for station in alternative.stations)


def _own(alternative: Alternative, station: Station) -> Alternative:
    """Return the part of an alternative that belongs to one station."""
    if station.number is None:
        return alternative

    def own(entries: Sequence[E]) -> tuple[E, ...]:
        return tuple(entry for entry in entries if entry.station == station.number)

    return replace(
        alternative, stations=(station,), parts=own(alternative.parts), placements=own(alternative.placements),
        part_contacts=own(alternative.part_contacts), welds=own(alternative.welds), load=own(alternative.load),
    )  # fmt: skip


def check_station_count(request: Request, whole: Alternative, answers: Sequence[Alternative]) -> Iterator[Finding]:
    """Yield whether there are as many stations as asked, nothing is left out of them, and placement ids stay unique."""
    if request.stations != "best" and len(answers) != request.stations:
        yield fail("stations.count", "plan", f"{len(answers)} stations, {request.stations} asked", len(answers), request.stations)
    for name in SHARED:
        listed, kept = len(getattr(whole, name)), sum(len(getattr(answer, name)) for answer in answers)
        if listed != kept:
            yield fail("stations.count", name, f"{listed} entries, {kept} of them at a station", listed, kept)
    for id, count in Counter(placement.id for answer in answers for placement in answer.placements).items():
        if count > 1 and len(answers) > 1:
            yield fail("document.ids", id, f"{count} placements share this id")


def surroundings(scene: Scene) -> dict[str, tuple[Block, ...]]:
    """Return a station's bodies as the others meet them: parts in place, clamps both shut and open."""
    bodies: dict[str, tuple[Block, ...]] = {part.id: (part.block,) for part in scene.all_parts.values()}
    for piece in scene.pieces.values():
        bodies[piece.id] = piece.shut if piece.opened is piece.shut else piece.shut + piece.opened
    return bodies


def check_equal(scenes: Sequence[Scene]) -> Iterator[Finding]:
    """Yield whether every station is the first one shifted by whole pitches, or turned half a turn as well.

    Pieces, their settings, what they stand on and what is pulled are compared; loads may go other ways.
    """
    for number, scene in enumerate(scenes[1:], 2):
        yield from summary("stations.equal", f"station {number}", _unequal(scenes[0], scene, number))


def _unequal(first: Scene, scene: Scene, number: int) -> Iterator[Finding]:
    rule, subject = "stations.equal", f"station {number}"
    move = scene.place @ np.linalg.inv(first.place)
    half, straight = np.diag([-1.0, -1.0, 1.0]), np.eye(3)
    if min(np.abs(move[:3, :3] - turn).max() for turn in (half, straight)) > SAME_DIRECTION:
        yield fail(rule, subject, "turned against the first station by other than half a turn")
        return
    origin = np.array([*first.table.first, 0.0])
    steps = ((move[:3, :3] @ origin + move[:3, 3]) - origin) / first.table.pitch
    off = float(np.abs(steps - np.rint(steps)).max())
    if off * first.table.pitch > SAME_PLACE or abs(steps[2]) > SAME_PLACE:
        yield fail(rule, subject, "not shifted by whole pitches", off * first.table.pitch, SAME_PLACE, "mm")
        return
    cut = [_over_the_edge(each) for each in (first, scene)]
    turned = cut[1] if move[0, 0] > 0 else np.roll(cut[1], 2, axis=1)
    beyond = float(np.abs(cut[0] - turned).max(initial=0.0))
    if beyond > SAME_PLACE:
        yield fail(rule, subject, "hangs farther over an edge of the table, or less far", beyond, SAME_PLACE, "mm")
    pulled = [sorted(each.pieces[id].item.id for id in each.answer.unload.pull) for each in (first, scene)]
    if pulled[0] != pulled[1]:
        yield fail(rule, subject, "other pieces are pulled than at the first station")
    left = list(scene.pieces.values())
    for piece in first.pieces.values():
        same = next((other for other in left if _same_piece(piece, other, move)), None)
        if same is None:
            yield fail(rule, f"{piece.id} ({number})", f"no {piece.item.id} stands there as {piece.id} does at the first station")
        else:
            left.remove(same)
    for other in left:
        yield fail(rule, other.id, f"no {other.item.id} stands so at the first station")


def _over_the_edge(scene: Scene) -> Array:
    """Return how far each part that lies on the table sticks out over its edges, mm: (parts, 4) towards -x, -y, +x, +y."""
    lying = [bounds_of([part.block]) for part in scene.parts.values()]
    low, high = scene.slab_outline.min(axis=0), scene.slab_outline.max(axis=0)
    found = [[*np.maximum(0.0, low - box[0, :2]), *np.maximum(0.0, box[1, :2] - high)] for box in lying if box[0, 2] <= ON_TABLE]
    return np.array(found).reshape(-1, 4)


def _same_piece(piece: SetPiece, other: SetPiece, move: Array) -> bool:
    """Return whether a piece is another's copy: the same item, moved as its station is, at the same setting."""
    if piece.item.id != other.item.id or len(piece.carriers) != len(other.carriers):
        return False
    setting, own = piece.placement.setting_mm or 0.0, other.placement.setting_mm or 0.0
    return abs(setting - own) <= CLEARANCE_SLACK and float(np.abs(move @ piece.frame - other.frame).max()) <= SAME_PLACE


def check_between(scenes: Sequence[Scene]) -> Iterator[Finding]:
    """Yield every two bodies of different stations that are too near."""
    if len(scenes) > 1:
        yield from summary("clear.body", "stations", _between(scenes))


def _between(scenes: Sequence[Scene]) -> Iterator[Finding]:
    limit = scenes[0].rules["clear.body"]
    bodies = [surroundings(scene) for scene in scenes]
    for (k, ours), (n, theirs) in combinations(enumerate(bodies, 1), 2):
        for id, body in ours.items():
            for other, block in theirs.items():
                near = gap(body, block, limit)
                if near < limit - CLEARANCE_SLACK:
                    yield fail("clear.body", f"{id} ({k}) {other} ({n})", "bodies of two stations", near, limit, "mm")
