"""Where a view is too small for its labels: pieces that stand close together, each crowd in a window of its own."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass

from inventory.shapes import Point2
from service.drawings.paper.marks import Box
from service.drawings.scene import Scene
from service.drawings.views.outlook import View

_APART = 14.0
_LETTERS = "ABCDEFGHJKLMNPQRSTUVWXYZ"


@dataclass(frozen=True, slots=True)
class Crowd:
    """A window of the table, mm, that is drawn larger: its letter, and the ids of all that is labelled there instead."""

    letter: str
    window: Box
    ids: tuple[str, ...]


def crowds(scene: Scene, view: View, crowded: Collection[str]) -> list[Crowd]:
    """Return the crowds round labels that found no room, nearest ones joined; two windows never overlap.

    Parameters
    ----------
    crowded : collection of str
        Ids of pieces, parts and welds whose labels found no room.
    """
    margin = 0.8 * scene.table.pitch
    windows = [_around(scene, id).grown(margin) for id in crowded]
    reach = _APART * view.scale
    joined: list[Box] = []
    for window in sorted(windows, key=lambda box: (box.left, box.top)):
        joined = _joined(joined, window, 0.25 * reach)
    found = []
    for letter, window in zip(_LETTERS, sorted(joined, key=lambda box: (-box.bottom, box.left)), strict=False):
        inside = Box(
            max(window.left, view.window.left), max(window.top, view.window.top),
            min(window.right, view.window.right), min(window.bottom, view.window.bottom),
        )  # fmt: skip
        found.append(Crowd(letter, inside, tuple(_labelled_in(scene, inside, crowded))))
    return found


def _joined(windows: Sequence[Box], new: Box, near: float) -> list[Box]:
    """Return the windows with a new one, all that come near it made one with it."""
    apart = [window for window in windows if not window.meets(new, near)]
    if len(apart) == len(windows):
        return [*windows, new]
    points: list[Point2] = [(new.left, new.top), (new.right, new.bottom)]
    for window in windows:
        if window not in apart:
            points += [(window.left, window.top), (window.right, window.bottom)]
    return _joined(apart, Box.around(points), near)


def _around(scene: Scene, id: str) -> Box:
    """Return the box round what an id names, mm; round a part or weld only its middle, for it may be long."""
    for piece in scene.pieces:
        if piece.id == id:
            return Box.around([corner for shape in piece.shapes for corner in _corners(shape.box)])
    for weld in scene.welds:
        if weld.id == id:
            return Box.around(weld.path)
    part = next(part for part in scene.parts if part.id == id)
    box = Box.around([corner for shape in part.shapes for corner in _corners(shape.box)])
    x, y = box.middle
    return Box(x, y, x, y)


def _corners(box: tuple[float, float, float, float]) -> list[Point2]:
    return [(box[0], box[1]), (box[2], box[3])]


def _labelled_in(scene: Scene, window: Box, crowded: Collection[str]) -> list[str]:
    """Return the ids of what is labelled in a window and not beside it: pieces that stand there, welds that run there."""

    def holds(point: Point2) -> bool:
        return window.left <= point[0] <= window.right and window.top <= point[1] <= window.bottom

    found = [piece.id for piece in scene.pieces if holds(piece.origin)]
    found += [weld.id for weld in scene.welds if all(holds(point) for point in weld.path)]
    return found + [part.id for part in scene.parts if part.id in crowded]
