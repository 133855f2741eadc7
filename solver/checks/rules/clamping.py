"""Whether clamps hold every part, press over support, push towards the locators, and do not mark the part."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

import numpy as np

from inventory.items import KINDS
from inventory.shapes import Array
from solver.checks.arithmetic import blocks, plane
from solver.checks.arithmetic.vectors import square_to
from solver.checks.report import at_least, at_most, fail, passed
from solver.checks.scene.rows import Row, rows_of
from solver.checks.scene.scene import Scene, SetPart, SetPiece
from solver.checks.tolerances import PRESSES_DOWN, PUSHES_OFF, TOUCH
from solver.plans import Finding, PlacedContact

LINE = 20000.0


def check_clamped(scene: Scene) -> Iterator[Finding]:
    """Yield the number of clamps a part has, and for each clamp support under it, sense of push and pressure."""
    clamps = dict.fromkeys(scene.parts, 0)
    for clamp in scene.pieces.values():
        if not clamp.clamping:
            continue
        if not clamp.placement.contacts:
            yield fail("clamp.presses", clamp.id, "the clamp presses on nothing")
            continue
        for contact in clamp.placement.contacts:
            yield from _push(scene, clamp, contact)
            yield _pressure(scene, clamp, contact)
        for id in _line_of_force(scene, clamp):
            clamps[id] += 1
    for part in scene.parts.values():
        wanted = max(1, math.ceil(longest(part) / scene.rules["clamp.per_length"] - 1e-9))
        yield at_least("clamp.per_length", part.id, clamps[part.id], wanted, "clamps", f"{longest(part):.0f} mm long")


def longest(part: SetPart) -> float:
    """Return a part's length as cuts leave it, a plate's longest extent, mm."""
    sizes = np.ptp(part.block.local_bounds, axis=0)
    return float(sizes.max() if part.part.section.shape == "plate" else sizes[2])


def _line_of_force(scene: Scene, clamp: SetPiece) -> Iterator[str]:
    """Yield the parts that a line from the tip along the push passes through."""
    tips = np.array([contact.at for contact in clamp.placement.contacts])
    pressed = {contact.part for contact in clamp.placement.contacts}
    for part in scene.parts.values():
        meets = blocks.segments_meet(tips, tips + LINE * clamp.force, part.block)
        if part.id in pressed or meets.any():
            yield part.id


def _push(scene: Scene, clamp: SetPiece, contact: PlacedContact) -> Iterator[Finding]:
    """Yield whether the clamp pushes the part onto locators, off none, and (a down clamp) over a support."""
    subject = f"{clamp.id} {contact.part}"
    rows = rows_of(scene, contact.part)
    pushes = [(float(row.normal @ clamp.force), row) for row in rows]
    off = sorted({row.source for push, row in pushes if push > PUSHES_OFF})
    if off:
        yield fail("clamp.pushes_off", subject, f"it pushes {contact.part} off {', '.join(off)}")
    elif not any(push < -PUSHES_OFF for push, _ in pushes):
        yield fail("clamp.pushes_off", subject, f"no locator of {contact.part} stands against its push")
    else:
        yield passed("clamp.pushes_off", subject)
    if KINDS[clamp.item.kind].pushes_down or clamp.force[2] < PRESSES_DOWN:
        limit = scene.rules["clamp.over_support"]
        away = _off_support(np.array(contact.at), clamp.force, rows)
        text = "line of force to the nearest support patch"
        if math.isfinite(away):
            yield at_most("clamp.over_support", subject, away, limit, "mm", text, 1e-3)
        else:
            yield fail("clamp.over_support", subject, "no support patch under the part", None, limit, "mm")


def _off_support(tip: Array, push: Array, rows: Sequence[Row]) -> float:
    """Return how far the line of force passes from the nearest support patch, level, mm."""
    best = math.inf
    for row in rows:
        if row.supports and push[2] < -1e-6:
            drop = (float(row.patch[:, 2].mean()) - tip[2]) / push[2]
            at = tip + drop * push
            best = min(best, max(0.0, -plane.margin(at[:2], plane.hull(row.patch[:, :2]))))
    return best


def _pressure(scene: Scene, clamp: SetPiece, contact: PlacedContact) -> Finding:
    """Return the pressure of the pad against its share of yield.

    A pad on a round part touches along a line; the strip counted is where pad and part are within touching distance.
    """
    assert clamp.item.clamp is not None
    part = scene.parts[contact.part]
    patch, normal = np.array(contact.patch), np.array(contact.normal)
    area = patch_area(patch, normal)
    if part.part.section.round and area < 1e-6 and len(patch) > 1:
        strip = 2 * math.sqrt(2 * (part.part.section.diameter or 0.0) / 2 * TOUCH)
        area = float(np.linalg.norm(patch.max(axis=0) - patch.min(axis=0))) * strip
    limit = scene.rules["clamp.max_part_pressure"] * scene.rules[f"material.{part.part.material}_yield_mpa"]
    if area < 1e-6:
        return fail("clamp.max_part_pressure", f"{clamp.id} {part.id}", "the pad touches at a point", None, limit, "MPa")
    return at_most("clamp.max_part_pressure", f"{clamp.id} {part.id}", clamp.item.clamp.force_n / area, limit, "MPa")


def patch_area(patch: Array, normal: Array) -> float:
    """Return the area of the hull of a flat patch, mm2."""
    outline = plane.hull(patch @ np.array(square_to(normal)).T)
    return abs(plane.area(outline)) if len(outline) > 2 else 0.0
