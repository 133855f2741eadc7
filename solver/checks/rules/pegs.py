"""Whether every peg has a hole of its own, and no base sticks out too far over the table's edge."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence

import numpy as np

from inventory.tables import Hole, hole_label
from solver.checks.report import at_most, fail, passed
from solver.checks.scene.scene import Scene, SetPiece
from solver.checks.tolerances import ON_TABLE
from solver.plans import Finding


def check_pegs(scene: Scene) -> Iterator[Finding]:
    """Yield whether pegs find free, existing, unblocked holes, on the table or on a carrier, and bases stay on the table."""
    table = scene.table
    closed = set(table.blocked_holes) | {hole for id, hole in scene.request.without.holes if id in (None, table.id)}
    for piece in scene.pieces.values():
        for peg in piece.pegs:
            if peg is None:
                yield fail(
                    "pegs.lattice", piece.id, f"at {piece.placement.turn:g} degrees a peg of {piece.item.id} misses the lattice"
                )
                continue
            if piece.placement.stands_on is None:
                yield from _hole(scene, piece, peg, closed)
            else:
                yield from _carrier(scene, piece, peg)
        if piece.placement.stands_on is None:
            yield from _edge(scene, piece)
        yield from _height(scene, piece)


def check_holes(scenes: Sequence[Scene]) -> Iterator[Finding]:
    """Yield whether every peg of all stations has a hole, or a carrier's peg, of its own."""
    taken: dict[tuple[str | None, Hole], list[str]] = defaultdict(list)
    for scene in scenes:
        for piece in scene.pieces.values():
            for peg in piece.pegs:
                if peg is not None:
                    taken[piece.placement.stands_on, peg].append(piece.id)
    crowded = [(peg, ids) for peg, ids in taken.items() if len(ids) > 1]
    for (carrier, peg), ids in crowded:
        where = hole_label(peg) if carrier is None else f"peg {peg} of {carrier}"
        yield fail("pegs.own_hole", ids[1], f"{' and '.join(ids)} share {where}", len(ids), 1)
    if not crowded:
        yield passed("pegs.own_hole", scenes[0].table.id)


def _height(scene: Scene, piece: SetPiece) -> Iterator[Finding]:
    """Yield a stack of too many pieces, at its top one."""
    if any(other.placement.stands_on == piece.id for other in scene.pieces.values()):
        return
    count, below = 1, piece.placement.stands_on
    while below is not None and count <= len(scene.pieces):
        count, below = count + 1, scene.pieces[below].placement.stands_on
    if count > scene.rules["stack.pieces"]:
        yield fail("stack.pieces", piece.id, "pieces on each other", count, scene.rules["stack.pieces"])


def _hole(scene: Scene, piece: SetPiece, peg: Hole, closed: set[Hole]) -> Iterator[Finding]:
    if not (0 <= peg[0] < scene.table.columns and 0 <= peg[1] < scene.table.rows):
        yield fail("pegs.exists", piece.id, f"the table has no hole at column {peg[0] + 1}, row {peg[1] + 1}")
    elif peg in closed:
        yield fail("pegs.blocked", piece.id, f"hole {hole_label(peg)} may not be used")


def _carrier(scene: Scene, piece: SetPiece, peg: Hole) -> Iterator[Finding]:
    carrier = scene.pieces[piece.placement.stands_on or ""]
    carries = carrier.item.carries
    if carries is None or peg not in carries.pegs:
        yield fail("pegs.carrier", piece.id, f"{carrier.item.id} {carrier.id} offers no peg {peg}")


def _edge(scene: Scene, piece: SetPiece) -> Iterator[Finding]:
    """Yield how far the faces that stand on the table stick out over its edge."""
    standing = [block.corners[np.abs(block.corners[:, 2]) < ON_TABLE] for block in piece.shut]
    points = np.concatenate([corners[:, :2] for corners in standing])
    if not len(points):
        return
    size = np.array(scene.table.size)
    over = float(np.maximum(-points, points - size).max())
    yield at_most("clear.table_edge", piece.id, max(0.0, over), scene.rules["clear.table_edge"], "mm")
