"""Routes in and out as straight moves, the plain ones first; how far they go follows from what they have to clear.

In words: straight up; a slide, then up; a lift, a slide, then up. A lift clears the top of what stands beside the parts; a
slide ends beside what hangs over them. Slides run along the lattice and along the parts' own level axes. A route starts
at the final place; reversed and backwards it is the route in. Routes that the parts already in do not let pass are left out.
Formula: lift_mo = top_o - bottom_m + clear;  slide_mo = high_o - low_m + clear along the slide, for every convex piece m of what
moves and o of what stays or may stand; of many alike the largest counts, of many different ones some are tried.
Source: the rule book's way.* rules.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from itertools import islice

import numpy as np

from inventory.shapes import Array
from solver.deadline import DeadlinePassed
from solver.geometry.cut_solids import normal_planes, piece_left
from solver.geometry.hulls import Flags, Hulls, joined
from solver.geometry.proximity import box_pairs, near
from solver.geometry.tolerances import LEVEL, PART_EASE, RUNS_INTO, UP
from solver.laying.laid_weldment import LaidPart, Touch
from solver.rule_book.book import RuleBook

ALIKE = 5.0
"""Lifts, and slides, that differ by less than this (mm) are one."""
SPARE = 0.5
"""A lift or a slide goes this much (mm) farther than it must."""
MOST_DIRECTIONS = 8
MOST_FOR_PARTS, LIFTS_FOR_PIECES, SLIDES_FOR_PIECES = 8, 3, 4
"""So many lifts, and slides in one direction, are tried to clear parts and to clear pieces of hardware."""


@dataclass(frozen=True)
class Route:
    """Straight moves (3,) from the final place; reversed and backwards they are the route in."""

    moves: tuple[Array, ...]

    @property
    def length(self) -> float:
        """Length of all its moves, mm."""
        return sum(float(np.linalg.norm(move)) for move in self.moves)


@dataclass
class LazyRoutes:
    """Routes made one after the other as they are asked for, and kept for the next who asks."""

    make: Callable[[], Iterator[Route]]

    def __post_init__(self) -> None:
        self._made: list[Route] = []
        self._more = self.make()

    def __iter__(self) -> Iterator[Route]:
        number = 0
        while True:
            if number == len(self._made):
                following = self._following()
                if following is None:
                    return
                self._made.append(following)
            yield self._made[number]
            number += 1

    def _following(self) -> Route | None:
        """Return the route after those made, None if there is none; who asks again after giving up is not told there is none."""
        try:
            return next(self._more, None)
        except DeadlinePassed:
            self._more = islice(self.make(), len(self._made), None)
            raise


@dataclass(frozen=True)
class Passage:
    """A part that moves past parts that stay: its hulls as such and a little slimmer, theirs, and the gaps (mm) to keep.

    `slim` tells for each hull that stays whether its part touches the one that moves.
    """

    moving: Hulls
    slimmer: Hulls
    staying: Hulls
    slim: Flags
    gaps: Array

    @staticmethod
    def of(part: LaidPart, others: Sequence[LaidPart], touches: Sequence[Touch], clear: float) -> Passage:
        """Return the passage of a part past others that keeps `clear` mm from what it is not near in its final place."""
        touched = {touch.other for touch in touches if touch.part == part.index}
        slim, gaps = [], []
        for other in others:
            beside = other.index in touched or _beside(part, other, clear)
            slim += [other.index in touched] * len(other.exact)
            gaps += [RUNS_INTO if beside else clear] * len(other.exact)
        staying = joined([other.exact for other in others])
        return Passage(part.exact, _slimmer(part), staying, np.array(slim, bool), np.array(gaps))

    def free(self, start: Array, move: Array) -> bool:
        """Return whether the part, `start` away from its final place, can make a straight move."""
        if not len(self.staying):
            return True
        for hulls, own in ((self.moving, ~self.slim), (self.slimmer, self.slim)):
            rows = np.flatnonzero(own)
            if not len(rows):
                continue
            swept = hulls.shifted(start).swept(move)
            i, j = box_pairs(swept.boxes, self.staying.boxes[rows], float(self.gaps[rows].max()))
            if near(swept, i, self.staying, rows[j], self.gaps[rows[j]]).any():
                return False
        return True


def _beside(part: LaidPart, other: LaidPart, gap: float) -> bool:
    """Return whether two parts lie nearer than a gap (mm) in their final place: they may move as near past each other."""
    i, j = box_pairs(part.exact.boxes, other.exact.boxes, gap)
    return bool(near(part.exact, i, other.exact, j, gap).any())


def _slimmer(part: LaidPart) -> Hulls:
    """Return a part's hulls drawn in by `PART_EASE` from all sides along the part's own axes, and square to its cuts."""
    hulls, frame = part.exact, part.frame
    local = hulls.points @ frame[:3, :3]
    middle = (np.minimum.reduceat(local, hulls.first) + np.maximum.reduceat(local, hulls.first)) / 2
    drawn = local - np.clip(local - np.repeat(middle, hulls.count, axis=0), -PART_EASE, PART_EASE)
    slim = Hulls(drawn @ frame[:3, :3].T, hulls.first, hulls.count, hulls.owner)
    if not part.part.cuts:
        return slim
    planes = [(normal, offset - PART_EASE) for normal, offset in normal_planes(part.part.cuts, frame)]
    pieces = [piece for hull in slim.each() if len(piece := piece_left(hull, planes))]
    return Hulls.of(pieces, [part.index] * len(pieces))


def routes_past(moving: Sequence[LaidPart], passage: Passage | None, pieces: Hulls, rules: RuleBook) -> Iterator[Route]:
    """Yield the routes of parts that move together which the parts that stay leave free; `pieces` is hardware to clear.

    Lifts and slides are worked out only when the routes before them were not enough.
    """
    lift = rules["way.lift"] * UP
    free = passage.free if passage is not None else _always
    if free(np.zeros(3), lift):
        yield Route((lift,))
    clear = rules["way.clear"] + SPARE
    body = joined([part.hulls for part in moving])
    parts = passage.staying if passage is not None else Hulls.of([], [])
    directions = _directions(moving)
    for height in _lifts(body, parts, pieces, clear):
        start = height * UP
        if height and not free(np.zeros(3), start):
            return
        shut = [False] * len(directions)
        slides = [
            (distance, number)
            for number, direction in enumerate(directions)
            for distance in _slides(body.shifted(start), direction, parts, pieces, clear)
        ]
        for distance, number in sorted(slides):
            move = distance * directions[number]
            shut[number] = shut[number] or not free(start, move)
            if not shut[number] and free(start + move, lift):
                yield Route((start, move, lift) if height else (move, lift))


def _always(start: Array, move: Array) -> bool:
    return True


def _directions(moving: Sequence[LaidPart]) -> list[Array]:
    """Return the level directions (unit) in which to slide: the lattice's, then the parts' own, the most frequent first."""
    found: Counter[tuple[float, float]] = Counter()
    for part in moving:
        for axis in part.frame[:3, :3].T:
            if abs(float(axis[2])) < LEVEL:
                found.update((round(sign * float(axis[0]), 6) + 0.0, round(sign * float(axis[1]), 6) + 0.0) for sign in (1, -1))
    lattice = [(1.0, 0.0), (-1.0, 0.0), (0.0, 1.0), (0.0, -1.0)]
    own = sorted((key for key in found if key not in lattice), key=lambda key: (-found[key], key))
    return [np.array([x, y, 0.0]) / np.hypot(x, y) for x, y in (*lattice, *own[: MOST_DIRECTIONS - len(lattice)])]


def _lifts(body: Hulls, parts: Hulls, pieces: Hulls, clear: float) -> list[float]:
    """Return the heights (mm) to lift before a slide, the least first: 0, and those that clear the tops of what is beside."""
    heights = {0.0}
    for others, most in ((parts, MOST_FOR_PARTS), (pieces, LIFTS_FOR_PIECES)):
        low, high = body.boxes[:, None, 0, 2], body.boxes[:, None, 1, 2]
        bottom, top = others.boxes[None, :, 0, 2], others.boxes[None, :, 1, 2]
        beside = (low < top) & (high > bottom)
        heights |= set(_alike(np.where(beside, top - low, 0.0) + clear, clear)[:most])
    return sorted(heights)


def _slides(body: Hulls, direction: Array, parts: Hulls, pieces: Hulls, clear: float) -> list[float]:
    """Return how far (mm) to slide to come out from under what hangs over, the least first."""
    distances = set()
    for others, most, over in ((parts, MOST_FOR_PARTS, False), (pieces, SLIDES_FOR_PIECES, True)):
        if not len(others):
            continue
        across = np.array([-direction[1], direction[0], 0.0])
        (low, high), (left, right) = _spans(body, direction), _spans(body, across)
        (near_end, far_end), (o_left, o_right) = _spans(others, direction), _spans(others, across)
        met = (left[:, None] < o_right + clear) & (right[:, None] > o_left - clear)
        met &= others.boxes[None, :, 1, 2] > body.boxes[:, None, 0, 2]
        if over:
            met &= (low[:, None] < far_end + clear) & (high[:, None] > near_end - clear)
            met &= others.boxes[None, :, 0, 2] > body.boxes[:, None, 0, 2]
        found = _alike(np.where(met, far_end - low[:, None], 0.0) + clear, clear)
        spread = np.linspace(0, len(found) - 1, min(most, len(found)))
        distances |= {found[k] for k in np.rint(spread).astype(int).tolist()}
    return sorted(distances)


def _spans(hulls: Hulls, direction: Array) -> tuple[Array, Array]:
    """Return each hull's least and greatest coordinate along a direction, mm."""
    along = hulls.points @ direction
    return np.minimum.reduceat(along, hulls.first), np.maximum.reduceat(along, hulls.first)


def _alike(lengths: Array, clear: float) -> list[float]:
    """Return lengths above `clear`, the least first, of those that are alike only the largest, in whole mm."""
    groups: list[list[float]] = []
    for length in np.unique(np.ceil(lengths[lengths > clear + RUNS_INTO])).tolist():
        if groups and length - groups[-1][0] < ALIKE:
            groups[-1].append(length)
        else:
            groups.append([length])
    return [group[-1] for group in groups]
