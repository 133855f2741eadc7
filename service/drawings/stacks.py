"""Pieces that belong together: those over one hole, and those that stand on one another."""

from __future__ import annotations

from collections.abc import Sequence

from service.drawings.scene import DrawnPiece, Scene


def over_one_hole(scene: Scene) -> list[list[DrawnPiece]]:
    """Return the pieces whose origins stand over one place, from the table up, in placing order."""
    found: dict[tuple[float, float], list[DrawnPiece]] = {}
    for piece in _in_order(scene.pieces):
        found.setdefault((round(piece.origin[0], 1), round(piece.origin[1], 1)), []).append(piece)
    return list(found.values())


def stacks(scene: Scene) -> list[list[DrawnPiece]]:
    """Return the pieces that stand on one another, from the table up, in placing order: what is on an arm belongs to it too."""
    by_id = {piece.id: piece for piece in scene.pieces}
    found: dict[str, list[DrawnPiece]] = {}
    for piece in _in_order(scene.pieces):
        root = piece
        for _ in scene.pieces:
            if root.stands_on is None or root.stands_on not in by_id:
                break
            root = by_id[root.stands_on]
        found.setdefault(root.id, []).append(piece)
    return list(found.values())


def _in_order(pieces: Sequence[DrawnPiece]) -> list[DrawnPiece]:
    return sorted(pieces, key=lambda piece: piece.number)
