"""Variants on one set-up: as the request lists them, the same pieces in the same holes, loaded alike, settings as listed."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

import numpy as np

from solver.checks.report import fail, passed
from solver.checks.scene.scene import Scene
from solver.checks.tolerances import CLEARANCE_SLACK, SAME_DIRECTION
from solver.plans import Alternative, Finding, Placement, VariantPlan
from solver.request import Request

ALONG = 0.05
"""A contact follows a shift along an axis of which its normal has more than this share."""


def about(name: str) -> str:
    """Return how the subjects of findings on a variant begin."""
    return f"variant {name}: "


def place_of(placement: Placement, others: Mapping[str, Placement]) -> tuple[Any, ...]:
    """Return what a piece is and where it stands, down to the table, whatever it is set to."""
    own = (placement.item, placement.hole, round(float(placement.turn) % 360.0, 6))
    below = others.get(placement.stands_on or "")
    return own if below is None else (*own, place_of(below, others))


def check_listed(request: Request, answer: Alternative) -> Iterator[Finding]:
    """Yield whether an alternative lists the variants of the request, by name, quantity and mirror axis, in order."""
    wanted = [(variant.name, variant.quantity, variant.mirror) for variant in request.variants]
    listed = [(variant.name, variant.quantity, variant.mirror) for variant in answer.variants]
    if wanted != listed:
        yield fail("variants.listed", "plan", f"lists {_named(listed)}; the request asks for {_named(wanted)}")
    elif wanted:
        yield passed("variants.listed", "plan")


def _named(entries: list[tuple[str, int, Any]]) -> str:
    return ", ".join(f"{count} x {name}" + (f" mirrored along {axis}" if axis else "") for name, count, axis in entries) or "none"


def check_variant(answer: Alternative, variant: VariantPlan) -> Iterator[Finding]:
    """Yield whether a variant has the set-up's pieces where they stand, its settings as listed, and the same order of loading."""
    before = {placement.id: placement for placement in answer.placements}
    after = {placement.id: placement for placement in variant.placements}
    settings = {id: placement.setting_mm for id, placement in after.items() if placement.setting_mm is not None}
    wrong = sorted(
        id
        for id in {*settings, *variant.settings}
        if id not in settings or id not in variant.settings or abs(settings[id] - variant.settings[id]) > CLEARANCE_SLACK
    )
    for id in wrong:
        yield fail("variants.settings", id, f"settings list {variant.settings.get(id)}, the piece is at {settings.get(id)}")
    if not wrong:
        yield passed("variants.settings", "weldment")
    stay = [id for id in after if id in before and place_of(after[id], after) == place_of(before[id], before)]
    if variant.mirror is None:
        gone = sorted({*before, *after} - set(stay))
        for id in gone:
            yield fail("variants.same_pieces", id, "is another piece, or stands elsewhere, than for the request's own weldment")
        if not gone:
            yield passed("variants.same_pieces", "weldment")
        own, there = ([step.part for step in plan.load] for plan in (answer, variant))
        if own == there:
            yield passed("variants.same_order", "weldment")
        else:
            yield fail("variants.same_order", "weldment", f"loaded in the order {', '.join(there)}, not {', '.join(own)}")
    if variant.mirror is not None or variant.shared is not None:
        same = sum(before[id].setting_mm == after[id].setting_mm for id in stay)
        if variant.shared == same:
            yield passed("variants.shared", "weldment")
        else:
            yield fail("variants.shared", "weldment", f"says {variant.shared} pieces stay, {same} do", variant.shared, same)


def check_same_lie(scene: Scene, variant: Scene) -> Iterator[Finding]:
    """Yield whether another size lies as the weldment does: turned alike, shifted along axes only that every contact follows."""
    turn = float(np.abs(scene.place[:3, :3] - variant.place[:3, :3]).max())
    if turn > SAME_DIRECTION:
        yield fail("variants.same_lie", "weldment", "lies turned otherwise than the request's own weldment", turn, 0.0)
        return
    for axis, name in enumerate("xy"):
        shift = float(variant.place[axis, 3] - scene.place[axis, 3])
        stuck = [
            piece.id
            for piece in variant.pieces.values()
            for number, contact in enumerate(piece.placement.contacts)
            if abs(contact.normal[axis]) > ALONG and not _moves(piece.item, number)
        ]
        if abs(shift) > CLEARANCE_SLACK and stuck:
            text = f"shifted along the table's {name}, which {', '.join(stuck)} cannot follow"
            yield fail("variants.same_lie", "weldment", text, shift, 0.0, "mm")
            return
    yield passed("variants.same_lie", "weldment")


def _moves(item: Any, number: int) -> bool:
    """Return whether a piece's contact moves with its setting."""
    if item.clamp is not None:
        return True
    return item.slide is not None and number < len(item.contacts) and bool(item.contacts[number].moves)
