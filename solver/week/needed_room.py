"""The rectangle round all that an alternative needs of its table, computed from the bodies of its document.

In words: pieces open and shut and parts are taken by the corners of their outlines, cuts not counted; parts also at every corner
of their ways in and out; welds with the distance that hardware keeps from them; torch and hand as capsules along every sample.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from itertools import accumulate

from inventory.shapes import Point3, Prism
from solver.plans import Alternative, Move, PlacedPart
from solver.rule_book.book import RuleBook
from solver.week.room import NeededRoom

Spot = tuple[float, float, float]
"""A place on the table and how far round it is needed: x, y, radius, mm."""


def needed_room(alternative: Alternative, rules: RuleBook) -> NeededRoom:
    """Return what an alternative needs, grown by half of the distance that it keeps from another set-up."""
    spots = [*_bodies(alternative), *_ways(alternative), *_welding(alternative, rules)]
    return _around(spots, max(rules["clear.body"], rules["way.clear"]) / 2)


def bodies_room(alternative: Alternative) -> NeededRoom:
    """Return the rectangle round pieces and parts alone."""
    return _around(list(_bodies(alternative)), 0.0)


def _around(spots: Sequence[Spot], margin: float) -> NeededRoom:
    return NeededRoom(
        min(x - r for x, _, r in spots) - margin,
        min(y - r for _, y, r in spots) - margin,
        max(x + r for x, _, r in spots) + margin,
        max(y + r for _, y, r in spots) + margin,
    )


def _corners(solids: Sequence[Prism]) -> Iterator[tuple[float, float]]:
    for solid in solids:
        (ax, bx, cx, x), (ay, by, cy, y) = solid.frame[0], solid.frame[1]
        for u, v in solid.outline:
            for w in (solid.start, solid.end):
                yield ax * u + bx * v + cx * w + x, ay * u + by * v + cy * w + y


def _bodies(alternative: Alternative) -> Iterator[Spot]:
    for piece in alternative.placements:
        for x, y in _corners((*piece.solids, *(piece.open_solids or ()))):
            yield x, y, 0.0
    for part in alternative.parts:
        for x, y in _corners(part.solids):
            yield x, y, 0.0


def _ways(alternative: Alternative) -> Iterator[Spot]:
    """Yield the corners of every part at every place on its ways: in, ending where it lies, and out with its station."""
    into = {(step.part, step.station): step.moves for step in alternative.load}
    out = {station.number: station.unload.moves for station in alternative.stations}
    for part in alternative.parts:
        way_in = [Move(move.direction, -move.distance) for move in reversed(into.get((part.id, part.station), ()))]
        for dx, dy in (*_places(way_in), *_places(out.get(part.station, ()))):
            yield from _moved(part, dx, dy)


def _places(moves: Sequence[Move]) -> list[tuple[float, float]]:
    steps = [(move.direction[0] * move.distance, move.direction[1] * move.distance) for move in moves]
    return list(accumulate(steps, lambda a, b: (a[0] + b[0], a[1] + b[1])))


def _moved(part: PlacedPart, dx: float, dy: float) -> Iterator[Spot]:
    for x, y in _corners(part.solids):
        yield x + dx, y + dy, 0.0


def _welding(alternative: Alternative, rules: RuleBook) -> Iterator[Spot]:
    hand_from = rules["torch.stickout"] + rules["torch.hand_from"]
    capsules = (
        (rules["torch.nozzle_diameter"] / 2, rules["torch.stickout"], rules["torch.length"]),
        (rules["torch.hand_diameter"] / 2, hand_from, rules["torch.hand_length"]),
    )
    for weld in alternative.welds:
        for at, torch in weld.samples:
            yield at[0], at[1], rules["clear.weld"]
            back = -_length(torch)
            for radius, start, length in capsules:
                for along in (start + radius, max(start + radius, start + length - radius)):
                    yield at[0] + torch[0] * along / back, at[1] + torch[1] * along / back, radius


def _length(direction: Point3) -> float:
    return math.hypot(*direction)
