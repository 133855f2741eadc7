"""Whether the solids a plan lists are the catalogue's and the request's, where they must stand, and settings and turns legal."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from inventory.items import ANY_TURN, Item
from inventory.shapes import Prism
from solver.checks.arithmetic import blocks
from solver.checks.arithmetic.blocks import Block
from solver.checks.report import fail, passed
from solver.checks.scene.scene import Scene, SetPiece
from solver.checks.tolerances import CLEARANCE_SLACK, SAME_CORNER, TOUCH
from solver.plans import Finding


def check_solids(scene: Scene) -> Iterator[Finding]:
    """Yield, for every part and piece, whether its listed solids are those of the request and the catalogue."""
    for part in scene.all_parts.values():
        allowance = TOUCH + part.round_allowance
        yield _same("solids.request", part.id, part.listed.solids, (part.block,), allowance)
    for piece in scene.pieces.values():
        yield _same("solids.catalogue", piece.id, piece.placement.solids, piece.shut, TOUCH)
        yield from _open(piece)
        yield from _turn(scene, piece)
        yield from _setting(piece)


def _open(piece: SetPiece) -> Iterator[Finding]:
    listed = piece.placement.open_solids
    differs = piece.item.clamp is not None and piece.item.clamp.open_solids is not None
    if listed is None:
        if differs:
            yield fail("solids.open", piece.id, "the clamp's open solids are missing")
    else:
        yield _same("solids.open", piece.id, listed, piece.opened, TOUCH)


def _same(rule: str, id: str, listed: Sequence[Prism], wanted: Sequence[Block], allowance: float) -> Finding:
    """Return whether the listed prisms are the wanted blocks, in any order."""
    if len(listed) != len(wanted):
        return fail(rule, id, f"{len(listed)} solids listed, {len(wanted)} expected", len(listed), len(wanted))
    left = list(wanted)
    for k, prism in enumerate(listed):
        if not _rigid(prism):
            return fail(rule, id, f"solid {k}: its frame is no rigid transform")
        given = Block.of(prism)
        match = next((block for block in left if _equal(given, block, allowance)), None)
        if match is None:
            return fail(rule, id, f"solid {k} is not where hole, turn, stack and setting put one of its kind")
        left.remove(match)
    return passed(rule, id)


def _rigid(prism: Prism) -> bool:
    frame = np.array(prism.frame)
    turn = frame[:3, :3]
    square = np.abs(turn.T @ turn - np.eye(3)).max() < 1e-6 and np.linalg.det(turn) > 0
    return bool(square and np.abs(frame[3] - (0, 0, 0, 1)).max() < 1e-9 and prism.end > prism.start)


def _equal(given: Block, wanted: Block, allowance: float) -> bool:
    """Return whether two blocks are one solid: same corners in some order, or (circles in other steps) same skin and volume."""
    if blocks.bounds_gap(given.bounds, wanted.bounds) > 0 or np.abs(given.bounds - wanted.bounds).max() > allowance:
        return False
    if abs(given.volume - wanted.volume) > 0.01 * wanted.volume:
        return False
    if given.corners.shape == wanted.corners.shape:
        if np.abs(given.corners - wanted.corners).max() < SAME_CORNER:
            return True
        apart = np.linalg.norm(given.corners[:, None] - wanted.corners[None], axis=2)
        if apart.min(axis=0).max() < SAME_CORNER and apart.min(axis=1).max() < SAME_CORNER:
            return True
    return max(_off_skin(given, wanted), _off_skin(wanted, given)) <= allowance


def _off_skin(block: Block, other: Block) -> float:
    """Return how far the corners and edge middles of a block lie from the other's nearest edge, mm."""
    e0, e1 = other.edges
    starts, ends = block.rims
    points = np.concatenate([block.corners, (starts + ends) / 2])
    return float(blocks.segment_distance(points, points, e0, e1).min(axis=1).max())


def _turn(scene: Scene, piece: SetPiece) -> Iterator[Finding]:
    item, turn = piece.item, piece.placement.turn
    if item.turns == ANY_TURN:
        yield passed("placement.turn", piece.id)
        return
    turns = [turn]
    if piece.placement.stands_on is not None:
        turns.append(turn - scene.pieces[piece.placement.stands_on].placement.turn)
    if any(abs((t - allowed + 180) % 360 - 180) < 1e-6 for t in turns for allowed in _numbers(item)):
        yield passed("placement.turn", piece.id)
    else:
        yield fail("placement.turn", piece.id, f"{item.id} stands at {', '.join(f'{t:g}' for t in _numbers(item))}", turn)


def _numbers(item: Item) -> tuple[float, ...]:
    return () if isinstance(item.turns, str) else item.turns


def _setting(piece: SetPiece) -> Iterator[Finding]:
    item, setting = piece.item, piece.placement.setting_mm
    if item.slide is None and item.clamp is None:
        if setting is not None:
            yield fail("placement.setting", piece.id, f"{item.id} has nothing to set", setting)
        return
    low, high, step = 0.0, 0.0, 0.0
    if item.slide is not None:
        low, high, step = item.slide.low, item.slide.high, item.slide.step
    elif item.clamp is not None:
        high = float(np.linalg.norm(np.array(item.clamp.reach[1]) - np.array(item.clamp.reach[0])))
    if setting is None:
        if item.slide is not None or high > 0:
            yield fail("placement.setting", piece.id, f"{item.id} needs a setting of {low:g} to {high:g} mm")
        return
    if not low - CLEARANCE_SLACK <= setting <= high + CLEARANCE_SLACK:
        yield fail("placement.setting", piece.id, f"{item.id} can be set {low:g} to {high:g} mm", setting, high, "mm")
    elif step > 0 and abs((setting - low) / step - round((setting - low) / step)) * step > CLEARANCE_SLACK:
        yield fail(
            "placement.setting", piece.id, f"{item.id} is set in steps of {step:g} mm from {low:g} mm", setting, step, "mm"
        )
    else:
        yield passed("placement.setting", piece.id)
