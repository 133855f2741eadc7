"""Level contacts of each part by direction: what may serve as its side, and how far apart they must be."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from inventory.shapes import Array
from solver.hardware.candidates import Candidate
from solver.laying.laid_weldment import LaidPart, LaidWeldment
from solver.laying.requirements import (
    Direction,
    direction_of,
    level_span,
    long_faces,
    side_spacing,
    touched_long,
    upright_round,
)


@dataclass(frozen=True)
class SidePoint:
    """A level contact of a part along one face direction: its span (mm, level), the candidate (None: a part), points.

    `long`: the face it stands on is long enough for the part's side, or that is not asked of it.
    """

    candidate: int | None
    low: float
    high: float
    points: int
    long: bool = True


Tip = tuple[int, Direction]
"""A candidate that stops a part at its tip, and the direction in which it does."""


@dataclass(frozen=True)
class SideGroup:
    """All level contacts of one part with equal normal, and the spacing they need to serve as its side, mm.

    An upright round part has one group more: contacts all `around` it, whatever their normals (`normal` is 0); `needed` of
    them serve as its side and end at once. `tips` are candidates that stop the part at a tip: ends, if they look another way.
    """

    part: int
    normal: Array
    spacing: float
    points: tuple[SidePoint, ...]
    needed: int = 2
    tips: tuple[Tip, ...] = ()

    @cached_property
    def around(self) -> bool:
        """Whether it holds contacts of all normals."""
        return not self.normal.any()


LevelPoints = Mapping[tuple[int, Direction], Sequence[SidePoint]]
"""Level contacts by part and direction."""


def side_groups(candidates: Sequence[Candidate], laid: LaidWeldment) -> list[SideGroup]:
    """Return each part's level contacts by direction, with the spacing asked of its side."""
    return groups_of(level_points(candidates, laid), laid, laid.parts, tip_points(candidates))


def level_points(candidates: Sequence[Candidate], laid: LaidWeldment) -> LevelPoints:
    """Return the level contacts that locators give."""
    found: dict[tuple[int, Direction], list[SidePoint]] = {}
    long = [long_faces(laid, part) for part in laid.parts]
    sideways: dict[bytes, Array | None] = {}
    for index, candidate in enumerate(candidates):
        if candidate.clamp:
            continue
        for meeting in candidate.meetings:
            if meeting.tip:
                continue
            key = meeting.normal.tobytes()
            if key not in sideways:
                sideways[key] = meeting.sideways
            across = sideways[key]
            if across is not None:
                low, high = level_span(meeting.patch, across)
                point = SidePoint(index, low, high, 1, long[meeting.part].get(meeting.face, True))
                found.setdefault((meeting.part, direction_of(across)), []).append(point)
    return found


def tip_points(candidates: Sequence[Candidate]) -> Mapping[int, tuple[Tip, ...]]:
    """Return by part the candidates that stop it at a tip."""
    found: dict[int, list[Tip]] = {}
    for index, candidate in enumerate(candidates):
        for meeting in candidate.meetings:
            if meeting.tip:
                found.setdefault(meeting.part, []).append((index, direction_of(meeting.normal)))
    return {part: tuple(tips) for part, tips in found.items()}


def groups_of(
    offered: LevelPoints, laid: LaidWeldment, parts: Sequence[LaidPart], tips: Mapping[int, tuple[Tip, ...]]
) -> list[SideGroup]:
    """Return the side groups of some parts from what locators offer, with what table and earlier parts give."""
    own = {part.index for part in parts}
    long = {part.index: long_faces(laid, part) for part in parts}
    found = {key: list(points) for key, points in offered.items() if key[0] in own}
    for part in parts:
        for touch in laid.touches_of(part.index):
            if touch.level:
                low, high = level_span(touch.patch, touch.normal)
                count = 2 if high - low > 1.0 else 1
                point = SidePoint(None, low, high, count, touched_long(part, touch, long[part.index]))
                found.setdefault((part.index, direction_of(touch.normal)), []).append(point)
    groups = []
    for (part_index, direction), points in sorted(found.items(), key=lambda entry: entry[0]):
        normal = np.array([*direction, 0.0])
        normal /= np.linalg.norm(normal)
        spacing = side_spacing(laid, laid.parts[part_index], normal)
        groups.append(SideGroup(part_index, normal, spacing, tuple(points), tips=tips.get(part_index, ())))
    for part in parts:
        around = [point for group in groups if group.part == part.index for point in group.points]
        if upright_round(part) and around:
            groups.append(SideGroup(part.index, np.zeros(3), 0.0, tuple(around), needed=3))
    return groups
