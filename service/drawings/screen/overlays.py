"""What a drawing on a screen shows once it is picked: ways in and out as ghosts with arrows, the torch all along a weld."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from itertools import pairwise

from inventory.shapes import Point2, Point3
from service.drawings.paper.marks import Group, Mark, Stroke, arrow, line, name_of
from service.drawings.scene import DrawnPart, Scene
from service.drawings.views.contact_marks import bead, inside, torch_at
from service.drawings.views.outlook import View
from solver.plans import Alternative, Move

_SHORT_MM = 0.6


def overlays(scene: Scene, alternative: Alternative, view: View, prefix: str) -> Iterator[Group]:
    """Yield every way and every weld's torch, each in a group of its own: ``way:2``, ``way:out``, ``torch:w1``.

    Load steps count from 1; of several stations the ways out are ``way:out-1``, ``way:out-2``.
    """
    parts = {part.id: part for part in scene.parts}
    for number, step in enumerate(alternative.load, 1):
        label = step.part if step.station is None else f"{step.part} / {step.station}"
        if label in parts:
            yield _group(_way([parts[label]], step.moves, view, ends=True), prefix, "way", str(number))
    for station in alternative.stations:
        end = "" if station.number is None else f" / {station.number}"
        own = [part for part in scene.parts if part.id.endswith(end)] if end else list(scene.parts)
        name = "out" if station.number is None else f"out-{station.number}"
        yield _group(_way(own, station.unload.moves, view, ends=False), prefix, "way", name)
    for number, weld in enumerate(scene.welds):
        if weld.torches and any(inside(view, point) for point in weld.line):
            drawn = [mark for point, direction in weld.torches for mark in torch_at(point, direction, view)]
            marks = [*bead([view.at(point) for point in weld.line]), *drawn]
            yield Group(tuple(marks), name_of(prefix, "torch", number), about=f"torch:{weld.id}")


def _group(marks: Iterable[Mark], prefix: str, sort: str, name: str) -> Group:
    return Group(tuple(marks), name_of(prefix, sort, name), about=f"{sort}:{name}")


def _way(parts: Sequence[DrawnPart], moves: Sequence[Move], view: View, *, ends: bool) -> Iterator[Mark]:
    """Yield parts as they are at the far end of a way, and an arrow a move; a way in `ends` at the place they are drawn in."""
    stops = _stops(moves, ends)
    if not parts or len(stops) < 2:
        return
    far = stops[0] if ends else stops[-1]
    dx, dy = view.outlook.seen(far)
    for part in parts:
        for solid in part.solids:
            rings = view.outlook.shape(solid).rings
            yield Stroke(tuple(view.ring((x + dx, y + dy) for x, y in ring) for ring in rings), "ghost")
    middle = _middle(parts, view)
    for a, b in pairwise(stops):
        tail, tip = (_flat(stop, middle, view) for stop in (a, b))
        if abs(tail[0] - tip[0]) + abs(tail[1] - tip[1]) > _SHORT_MM:
            yield line(tail, tip, style="casing")
            yield from arrow(tail, tip, "push", head=2.2)


def _stops(moves: Sequence[Move], ends: bool) -> list[Point3]:
    """Return where moves pause, mm from the place at which they end, or else begin."""
    found: list[Point3] = [(0.0, 0.0, 0.0)]
    for move in reversed(moves) if ends else moves:
        sign = -1.0 if ends else 1.0
        x, y, z = (a + sign * share * move.distance for a, share in zip(found[-1], move.direction, strict=True))
        found.append((x, y, z))
    return found[::-1] if ends else found


def _middle(parts: Sequence[DrawnPart], view: View) -> Point2:
    points = [point for part in parts for solid in part.solids for point in view.outlook.shape(solid).rings[0]]
    xs, ys = zip(*points, strict=True)
    return (min(xs) + max(xs)) / 2, (min(ys) + max(ys)) / 2


def _flat(stop: Point3, middle: Point2, view: View) -> Point2:
    dx, dy = view.outlook.seen(stop)
    return view.flat((middle[0] + dx, middle[1] + dy))
