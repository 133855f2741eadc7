"""How far locating alone may move a toleranced point, worst case, and whether hardware follows open dimensions."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

import numpy as np

from inventory.shapes import Array
from solver.checks.arithmetic.vectors import cross
from solver.checks.report import at_most, fail, passed
from solver.checks.rules.located_together import ring_matrix
from solver.checks.scene.rings import rings_together
from solver.checks.scene.rows import Row, rows_of
from solver.checks.scene.scene import Scene, SetPiece
from solver.checks.tolerances import DEVIATION_SLACK
from solver.plans import Finding, PlacedContact
from solver.weldment import OpenDimension, Tolerance

WITHIN_60 = 0.5


def check_accuracy(scene: Scene) -> Iterator[Finding]:
    """Yield the worst-case locating error at every toleranced point against its share of the tolerance."""
    tolerances = scene.request.weldment.tolerances
    if not tolerances:
        return
    motions = part_motions(scene)
    if motions is None:
        yield fail("locate.chain", "weldment", "part contacts run in a circle")
        return
    for tolerance, error in toleranced(scene, motions):
        limit = scene.rules["locate.tolerance_share"] * tolerance.plus_minus
        subject = tolerance.part if tolerance.relative_to is None else f"{tolerance.part} {tolerance.relative_to}"
        yield at_most("locate.tolerance_share", subject, float(np.abs(error).sum()), limit, "mm", "worst-case locating error")


def toleranced(scene: Scene, motions: Mapping[str, Array]) -> Iterator[tuple[Tolerance, Array]]:
    """Yield every tolerance with the displacement at its point along its direction, one number a locator."""
    for tolerance in scene.request.weldment.tolerances:
        point, direction = scene.points(tolerance.point), scene.vector(tolerance.direction)
        error = displaced(scene, motions, tolerance.part, point, direction)
        if tolerance.relative_to is not None:
            error = error - displaced(scene, motions, tolerance.relative_to, point, direction)
        yield tolerance, error


def part_motions(scene: Scene) -> Mapping[str, Array] | None:
    """Return each part's motion [shift, rho x turn] (6, n) under the error of each of n locators.

    Parts of a ring that is located together move by one matrix. None if others carry each other in a circle.

    A locator errs by its repeatability (its stack's added up) and by the gap its increments leave.
    """
    count = 0
    errors: dict[tuple[str, tuple[float, ...]], int] = {}
    all_rows = {id: rows_of(scene, id) for id in scene.parts}
    for rows in all_rows.values():
        for row in rows:
            key = (row.source, tuple(np.round(row.normal, 6).tolist()))
            if row.kind == "piece" and key not in errors:
                errors[key], count = count, count + 1
    motions: dict[str, Array] = {}
    rings = [ring.parts for ring in rings_together(scene)]
    waiting = [*rings, *((id,) for id in scene.parts if not any(id in ring for ring in rings))]
    while waiting:
        ready = [group for group in waiting if all(_known(row, group, motions) for id in group for row in all_rows[id])]
        if not ready:
            return None
        for group in ready:
            moved = [_moved(scene, row, motions, errors, count) for id in group for row in all_rows[id]]
            whole = ring_matrix(scene, group, all_rows)
            found = np.asarray(np.linalg.pinv(whole, rcond=1e-9), dtype=float) @ np.array(moved).reshape(len(whole), count)
            motions |= {id: found[6 * k : 6 * k + 6] for k, id in enumerate(group)}
            waiting.remove(group)
    return motions


def _known(row: Row, group: Sequence[str], motions: Mapping[str, Array]) -> bool:
    """Return whether what a row stands on has its motion already, or gets it together with its own part."""
    return row.kind != "part" or row.source in motions or row.source in group


def _moved(
    scene: Scene, row: Row, motions: Mapping[str, Array], errors: Mapping[tuple[str, tuple[float, ...]], int], count: int
) -> Array:
    """Return how far a row's contact is off along its normal under the error of each locator, (count,)."""
    moved = np.zeros(count)
    if row.kind == "piece":
        error = scene.pieces[row.source].repeatability_mm + row.gap
        moved[errors[row.source, tuple(np.round(row.normal, 6).tolist())]] = error
    elif row.kind == "part" and row.source in motions:
        moved = displaced(scene, motions, row.source, row.at, row.normal)
    return moved


def displaced(scene: Scene, motions: Mapping[str, Array], part: str, point: Array, direction: Array) -> Array:
    """Return a part's displacement at a point along a direction, one number a locator."""
    inertia = scene.parts[part].inertia
    arm = cross(point - inertia.centre, direction) / inertia.rho
    moved: Array = np.concatenate([direction, arm]) @ motions[part]
    return moved


def check_open_dimensions(scene: Scene) -> Iterator[Finding]:
    """Yield whether every contact that an open dimension moves can follow it by its setting."""
    for dimension in scene.request.weldment.open_dimensions:
        direction = scene.vector(dimension.direction)
        for piece in scene.pieces.values():
            for contact in piece.placement.contacts:
                square = float(np.array(contact.normal) @ direction)
                if contact.part == dimension.part and abs(square) > WITHIN_60 - 1e-9:
                    yield _follows(piece, contact, dimension, square)


def _follows(piece: SetPiece, contact: PlacedContact, dimension: OpenDimension, square: float) -> Finding:
    rule, subject = "open_dimensions.follow", f"{piece.id} {dimension.part}"
    axis, low, high = _stroke(piece)
    ways = [float(axis @ np.array(contact.normal))] if any(pad.moves for pad in piece.item.contacts) else [0.0]
    if abs(ways[0]) < 1e-6:
        return fail(rule, subject, f"{piece.item.id} has no setting along its contact")
    setting = piece.placement.setting_mm or 0.0
    settings = [setting + change * square / ways[0] for change in (dimension.low, dimension.high)]
    over = max(low - min(settings), max(settings) - high)
    text = f"settings {min(settings):.2f} to {max(settings):.2f} mm needed, {low:g} to {high:g} mm there"
    return fail(rule, subject, text, over, 0.0, "mm") if over > DEVIATION_SLACK else passed(rule, subject, text)


def _stroke(piece: SetPiece) -> tuple[Array, float, float]:
    """Return the direction in which a piece's setting moves its pad (table frame) and the setting's range."""
    turn = piece.frame[:3, :3]
    if piece.item.slide is not None:
        return turn @ np.array(piece.item.slide.along), piece.item.slide.low, piece.item.slide.high
    if piece.item.clamp is not None:
        reach = np.array(piece.item.clamp.reach[1]) - np.array(piece.item.clamp.reach[0])
        length = float(np.linalg.norm(reach))
        return turn @ reach / max(length, 1e-12), 0.0, length
    return np.zeros(3), 0.0, 0.0
