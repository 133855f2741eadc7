"""Whether the parts go in one after the other, and the finished weldment comes out, without striking anything."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from inventory.shapes import Array
from solver.checks.arithmetic import blocks, sweeps
from solver.checks.arithmetic.blocks import Block
from solver.checks.report import fail, passed
from solver.checks.rules.bodies_apart import bounds_of, gap, touching
from solver.checks.scene.scene import Scene, SetPart, SetPiece
from solver.checks.tolerances import CLEARANCE_SLACK, TOUCH
from solver.plans import Finding, Move


@dataclass(frozen=True)
class Obstacle:
    """Something that stands still while a part moves; `slides`: it touches the part in its final place."""

    id: str
    body: Sequence[Block]
    slides: bool


def check_routes(scene: Scene) -> Iterator[Finding]:
    """Yield order, length and clearance of every way in and of the way out."""
    yield from _order(scene)
    yield from _clamps(scene)
    touches = touching(scene)
    closed: set[str] = set()
    loaded: list[str] = []
    for step in scene.answer.load:
        part = scene.all_parts[step.part]
        obstacles = list(_standing(scene, touches, part, closed, set()))
        if part.id in scene.parts:
            obstacles += [_obstacle(scene, part, scene.parts[id]) for id in loaded]
            loaded.append(part.id)
        yield from _way(scene, f"load {part.id}", (part,), {part.id: obstacles}, step.moves, inward=True)
        closed |= set(step.then_close)
    unload = scene.answer.unload
    yield from _pulled(scene, touches)
    still = {piece.id for piece in scene.pieces.values() if piece.clamping} - set(unload.open)
    parts, away = tuple(scene.all_parts.values()), set(unload.pull)
    around = {part.id: list(_standing(scene, touches, part, still, away)) for part in parts}
    yield from _way(scene, "unload", parts, around, unload.moves, inward=False, away=away)


def _order(scene: Scene) -> Iterator[Finding]:
    """Yield whether every part goes in exactly once, after those that carry it, and outer bodies after all parts."""
    order = [step.part for step in scene.answer.load]
    wrong = [id for id in scene.all_parts if order.count(id) != 1]
    for id in wrong:
        yield fail("load.order", id, f"it goes in {order.count(id)} times", order.count(id), 1)
    for mate in scene.answer.part_contacts:
        if mate.part in order and mate.on in order and order.index(mate.on) > order.index(mate.part):
            wrong.append(mate.part)
            yield fail("load.order", mate.part, f"it goes in before {mate.on}, which carries it")
    last = max((place for place, id in enumerate(order) if id in scene.parts), default=-1)
    for id in order[:last]:
        if id in scene.bodies:
            wrong.append(id)
            yield fail("load.order", id, f"it is an outer body and goes in before {order[last]}")
    if not wrong:
        yield passed("load.order", "weldment")


def _clamps(scene: Scene) -> Iterator[Finding]:
    """Yield whether every clamp is shut once, after the parts it presses are in, and opened once."""
    closing = Counter(id for step in scene.answer.load for id in step.then_close)
    opening = Counter(scene.answer.unload.open)
    clamps = {piece.id for piece in scene.pieces.values() if piece.clamping}
    wrong = False
    for id in sorted(clamps | set(closing) | set(opening)):
        wanted = 1 if id in clamps else 0
        if closing[id] != wanted:
            wrong = True
            yield fail("load.then_close", id, f"shut {closing[id]} times", closing[id], wanted)
        if opening[id] != wanted:
            wrong = True
            yield fail("unload.open", id, f"opened {opening[id]} times", opening[id], wanted)
    loaded: set[str] = set()
    for step in scene.answer.load:
        loaded.add(step.part)
        for id in step.then_close:
            early = {contact.part for contact in scene.pieces[id].placement.contacts} - loaded
            if early:
                wrong = True
                yield fail("load.then_close", id, f"shut before {', '.join(sorted(early))} is in")
    if not wrong:
        yield passed("load.then_close", "weldment")


def _pulled(scene: Scene, touches: set[tuple[str, str]]) -> Iterator[Finding]:
    """Yield whether what is pulled may be: locates nothing or is removable, carries nothing that stays, comes out of its hole."""
    pull, wrong = scene.answer.unload.pull, False
    for id in pull:
        piece = scene.pieces[id]
        for fault in _pull_faults(scene, piece, touches):
            wrong = True
            yield fail("unload.pull", id, fault)
    if pull and not wrong:
        yield passed("unload.pull", ", ".join(pull))


def _pull_faults(scene: Scene, piece: SetPiece, touches: set[tuple[str, str]]) -> Iterator[str]:
    """Yield what keeps a piece from being pulled before the weldment leaves."""
    if piece.placement.locates and not piece.item.removable:
        yield f"{piece.item.id} locates and is not removable"
    left = [id for id, other in scene.pieces.items() if piece.id in other.carriers and id not in scene.answer.unload.pull]
    if left:
        yield f"it carries {', '.join(left)}"
    down = np.array([0.0, 0.0, -scene.table.thickness])
    for part in scene.all_parts.values():
        body = Obstacle(piece.id, piece.opened, (piece.id, part.id) in touches)
        if _closest(part.block, down, body, TOUCH) == 0:
            yield f"{part.id} is over it: it cannot be drawn from its hole, {scene.table.thickness:g} mm deep"


def _standing(scene: Scene, touches: set[tuple[str, str]], part: SetPart, closed: set[str], away: set[str]) -> Iterator[Obstacle]:
    touch = scene.rules["way.clear"] if part.id in scene.bodies else TOUCH + part.round_allowance
    yield Obstacle("table", (scene.slab,), bool(part.block.bounds[0, 2] < touch))
    for piece in scene.pieces.values():
        if piece.id not in away:
            body = piece.shut if not piece.clamping or piece.id in closed else piece.opened
            yield Obstacle(piece.id, body, (piece.id, part.id) in touches)
    for id, body in scene.neighbours.items():
        yield Obstacle(id, body, False)


def _obstacle(scene: Scene, part: SetPart, other: SetPart) -> Obstacle:
    """Return a part already in; parts nearer in their final place than the gap asked while moving count as touching."""
    limit = scene.rules["way.clear"]
    return Obstacle(other.id, (other.block,), gap((part.block,), (other.block,), limit) < limit)


def _way(
    scene: Scene,
    name: str,
    parts: Sequence[SetPart],
    around: dict[str, list[Obstacle]],
    moves: Sequence[Move],
    *,
    inward: bool,
    away: Collection[str] = (),
) -> Iterator[Finding]:
    """Yield whether a way is long enough and keeps its clearance; inward ways end, outward ones start, at the final place."""
    if not moves or any(move.distance <= 0 for move in moves):
        yield fail("way.moves", name, "a way has at least one move, each of a distance above 0")
        return
    vectors = [move.distance * np.array(move.direction) for move in moves]
    if inward:
        vectors = [-vector for vector in vectors[::-1]]
    standing = [piece for piece in scene.pieces.values() if piece.id not in away]
    yield _long_enough(scene, name, parts, standing, sum(move.distance for move in moves), np.sum(vectors, axis=0))
    limit = scene.rules["way.clear"]
    strikes = 0
    for part in parts:
        block = part.block
        for vector in vectors:
            for obstacle in around[part.id]:
                near = _closest(block, vector, obstacle, limit)
                if near < limit - CLEARANCE_SLACK:
                    strikes += 1
                    text = "runs into it" if near == 0 else f"passes {near:.3g} mm from it"
                    yield fail("way.clear", f"{name} {part.id} {obstacle.id}", text, near, limit, "mm")
            block = block.moved(vector)
    if not strikes:
        yield passed("way.clear", name)


def _closest(block: Block, vector: Array, obstacle: Obstacle, limit: float) -> float:
    """Return the least gap on a move, mm; for what may slide, 0 if one would run into the other, else infinite."""
    best = blocks.FAR
    for other in obstacle.body:
        if not obstacle.slides:
            best = min(best, sweeps.sweep_distance(block, vector, other, limit))
            continue
        depth = TOUCH + max(block.round_allowance, other.round_allowance)
        core, mover = other.shrunk(depth), block
        if core is None:
            core, mover = other, block.shrunk(depth) or block
        if sweeps.sweep_meets(mover, vector, core):
            return 0.0
    return best


def _long_enough(
    scene: Scene, name: str, parts: Sequence[SetPart], standing: Sequence[SetPiece], length: float, shift: Array
) -> Finding:
    """Return whether a way is as long as asked, or ends above or beside every piece that stands."""
    limit = scene.rules["way.lift"]
    moved = bounds_of([part.block for part in parts]) + shift
    for piece in standing:
        box = np.concatenate([bounds_of(piece.shut), bounds_of(piece.opened)])
        low, high = box.min(axis=0), box.max(axis=0)
        beside = (moved[0, :2] >= high[:2]).any() or (moved[1, :2] <= low[:2]).any()
        if not beside and moved[0, 2] < high[2]:
            break
    else:
        return passed("way.lift", name, "clear of all hardware")
    return Finding("way.lift", name, round(length, 6), limit, "mm", length >= limit - 1e-6, "length of the way")
