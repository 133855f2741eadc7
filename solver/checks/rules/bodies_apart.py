"""Whether bodies keep apart: pieces, parts and table, clamps shut and open."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from inventory.shapes import Array
from solver.checks.arithmetic import blocks
from solver.checks.arithmetic.blocks import FAR, Block
from solver.checks.report import fail, summary
from solver.checks.scene.scene import Scene, SetPart, SetPiece
from solver.checks.tolerances import CLEARANCE_SLACK, TOUCH
from solver.plans import Finding


def bounds_of(body: Sequence[Block]) -> Array:
    """Return the box around a body, (2, 3)."""
    return np.stack([np.min([b.bounds[0] for b in body], axis=0), np.max([b.bounds[1] for b in body], axis=0)])


def gap(a: Sequence[Block], b: Sequence[Block], cap: float) -> float:
    """Return the distance between two bodies, 0 if they overlap; infinite if above `cap`."""
    if blocks.bounds_gap(bounds_of(a), bounds_of(b)) > cap:
        return FAR
    return min(blocks.distance(one, other, cap) for one in a for other in b)


def runs_into(a: Sequence[Block], b: Sequence[Block], depth: float) -> bool:
    """Return whether a block of `a` and one of `b` share more than a skin `depth` thick."""
    for one in a:
        for other in b:
            if blocks.bounds_gap(one.bounds, other.bounds) > 0:
                continue
            allowed = depth + max(one.round_allowance, other.round_allowance)
            core = other.shrunk(allowed)
            if blocks.overlap(one, core) if core is not None else blocks.deeper(other, one, allowed):
                return True
    return False


def touching(scene: Scene) -> set[tuple[str, str]]:
    """Return (piece, part) of every declared contact."""
    return {(piece.id, contact.part) for piece in scene.pieces.values() for contact in piece.placement.contacts}


def check_apart(scene: Scene) -> Iterator[Finding]:
    """Yield every pair of bodies that is too near or overlaps, or one passing finding a rule."""
    yield from summary("clear.body", scene.answer.table, _near(scene))
    yield from summary("apart.overlap", scene.answer.table, _overlaps(scene))
    yield from summary("fit.overlap", "weldment", _parts(scene))


def _near(scene: Scene) -> Iterator[Finding]:
    limit = scene.rules["clear.body"]
    touches = touching(scene)
    pieces = list(scene.pieces.values())
    for k, a in enumerate(pieces):
        for b in pieces[k + 1 :]:
            if not _stacked(a, b):
                yield from _too_near(f"{a.id} {b.id}", min(_state_gaps(a, b, limit)), limit, "pieces")
        for part in scene.all_parts.values():
            if (a.id, part.id) not in touches:
                near = gap(a.shut, (part.block,), limit)
                if a.opened is not a.shut:
                    near = min(near, gap(a.opened, (part.block,), limit))
                yield from _too_near(f"{a.id} {part.id}", near, limit, "piece and part without a declared contact")


def _too_near(subject: str, near: float, limit: float, text: str) -> Iterator[Finding]:
    if near < limit - CLEARANCE_SLACK:
        yield fail("clear.body", subject, f"{text}: {near:.3g} mm apart", near, limit, "mm")


def _state_gaps(a: SetPiece, b: SetPiece, cap: float) -> Iterator[float]:
    for one in (a.shut,) if a.opened is a.shut else (a.shut, a.opened):
        for other in (b.shut,) if b.opened is b.shut else (b.shut, b.opened):
            yield gap(one, other, cap)


def _stacked(a: SetPiece, b: SetPiece) -> bool:
    return a.id in b.carriers or b.id in a.carriers


def _overlaps(scene: Scene) -> Iterator[Finding]:
    touches = touching(scene)
    pieces = list(scene.pieces.values())
    for k, a in enumerate(pieces):
        for b in pieces[k + 1 :]:
            if _stacked(a, b) and (runs_into(a.shut, b.shut, TOUCH) or runs_into(a.opened, b.opened, TOUCH)):
                yield fail("apart.overlap", f"{a.id} {b.id}", "a piece runs into the one it stands on", None, TOUCH, "mm")
        for part in scene.parts.values():
            if (a.id, part.id) in touches and (
                runs_into((part.block,), a.shut, TOUCH) or (a.opened is not a.shut and runs_into((part.block,), a.opened, TOUCH))
            ):
                yield fail("apart.overlap", f"{a.id} {part.id}", "a piece runs into the part it touches", None, TOUCH, "mm")
    for part in scene.all_parts.values():
        if runs_into((part.block,), (scene.slab,), TOUCH):
            yield fail("apart.overlap", part.id, "the part runs into the table", None, TOUCH, "mm")


def _parts(scene: Scene) -> Iterator[Finding]:
    parts: list[SetPart] = list(scene.parts.values())
    limit = scene.rules["fit.overlap"]
    for k, a in enumerate(parts):
        for b in parts[k + 1 :]:
            if runs_into((a.block,), (b.block,), max(limit, 1e-6)):
                yield fail("fit.overlap", f"{a.id} {b.id}", "the parts overlap", None, limit, "mm")
