"""A choice's pieces, parts and contacts in the table frame."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from inventory.items import Item
from inventory.shapes import Array, Prism, turned
from inventory.tables import hole_label
from solver.candidates.lies import Seat
from solver.candidates.placing import Candidate, Meeting
from solver.candidates.problem import Problem
from solver.model.pose import Choice
from solver.plan import PartContact, PlacedContact, PlacedPart, Placement, Role
from solver.weldment import Part

CARRYING = "carries the piece above at its height"
PULLED = "; pulled each cycle before the weldment leaves"
CLEAN = 9
"""Coordinates are given to a nanometre: what is smaller is arithmetic's dust."""


@dataclass(frozen=True)
class Setting:
    """A choice on its seat: what is needed to write it down in the table frame."""

    problem: Problem
    choice: Choice
    seat: Seat

    @cached_property
    def move(self) -> Array:
        """Frame (4x4) from the lie frame to the table frame."""
        table = self.seat.table
        frame = turned(90.0 * self.seat.quarter)
        phase = frame[:2, :2] @ np.array(self.problem.lattice.phase)
        frame[:2, 3] = np.array(table.first) + table.pitch * np.array(self.seat.shift) - phase
        return frame

    @cached_property
    def weldment_to_table(self) -> Array:
        """Frame (4x4) from the weldment to the table."""
        lie = np.eye(4)
        lie[:3, :3] = self.problem.assembly.rotation
        lie[2, 3] = self.problem.assembly.lift
        return clean(self.move @ lie)

    @cached_property
    def ids(self) -> Mapping[int, tuple[str, ...]]:
        """Placement ids of each chosen candidate, from the table up."""
        taken = {part.id for part in self.problem.assembly.weldment.parts}
        prefix = next(
            p
            for p in ("p", "h", "piece-", "placement-", "_p")
            if not any(t.startswith(p) and t[len(p) :].isdigit() for t in taken)
        )
        ids: dict[int, tuple[str, ...]] = {}
        number = 0
        for index in self.ordered:
            levels = len(self.problem.candidates[index].stand.levels)
            ids[index] = tuple(f"{prefix}{number + k + 1}" for k in range(levels))
            number += levels
        return ids

    @cached_property
    def ordered(self) -> tuple[int, ...]:
        """Chosen candidates in the order they are set: by the part they serve first, locators before clamps."""
        order = self.problem.assembly.order or tuple(range(len(self.problem.assembly.parts)))

        def key(index: int) -> tuple[int, bool, tuple[int, int]]:
            candidate = self.problem.candidates[index]
            return min(order.index(part) for part in candidate.parts), candidate.clamp, self.seat.hole(candidate.hole)

        return tuple(sorted(self.choice.stands, key=key))

    def point(self, at: Array) -> tuple[float, float, float]:
        """Return a lie-frame point in the table frame."""
        x, y, z = clean(self.move[:3, :3] @ at + self.move[:3, 3])
        return float(x), float(y), float(z)

    def direction(self, vector: Array) -> tuple[float, float, float]:
        """Return a lie-frame direction in the table frame."""
        x, y, z = clean(self.move[:3, :3] @ vector)
        return float(x), float(y), float(z)


def clean(values: Array) -> Array:
    """Return values without arithmetic's dust (and without minus zero)."""
    rounded: Array = np.round(values, CLEAN) + 0.0
    return rounded


def roles(problem: Problem, choice: Choice, candidate: Candidate) -> list[tuple[Meeting, tuple[Role, ...]]]:
    """Return what each of a locator's pads does for its part."""
    if candidate.clamp:
        return []
    found: list[tuple[Meeting, tuple[Role, ...]]] = []
    for meeting in candidate.meetings:
        does: list[Role] = ["support"] if meeting.normal[2] > 0.5 else []
        across = meeting.sideways
        if across is not None:
            group = next(problem.groups[g] for g in choice.sides if problem.groups[g].part == meeting.part)
            side = float(group.normal @ across) > 1 - 1e-4
            if group.around:
                side = meeting is not _all_around(problem, choice, meeting.part)[-1]
            does.append("side" if side else "end")
        found.append((meeting, tuple(does)))
    return found


def _all_around(problem: Problem, choice: Choice, part: int) -> list[Meeting]:
    """Return the level contacts of a choice with an upright round part."""
    chosen = (problem.candidates[index] for index in choice.stands if not problem.candidates[index].clamp)
    return [m for candidate in chosen for m in candidate.meetings if m.part == part and m.sideways is not None]


def placements(setting: Setting, pulled: Collection[str] = ()) -> tuple[Placement, ...]:
    """Return every piece of a choice, in setting order; `pulled` are the ids of pieces pulled before the weldment leaves."""
    found = []
    for index in setting.ordered:
        candidate = setting.problem.candidates[index]
        stand = candidate.stand
        where = setting.move.copy()
        where[:3, 3] = setting.point(candidate.origin)
        for depth, level in enumerate(stand.levels):
            top = depth == len(stand.levels) - 1
            frame = where @ level.frame
            shifted = frame.copy()
            shifted[:3, 3] += setting.move[:3, :3] @ (candidate.travel if top else level.frame[:3, :3] @ level.at_rest)
            item = level.item
            opened = None
            if item.clamp is not None and item.clamp.open_solids is not None:
                opened = tuple(prism.placed(clean(frame)) for prism in item.clamp.open_solids)
            does = roles(setting.problem, setting.choice, candidate) if top else []
            locates = tuple(dict.fromkeys((_part(setting, m.part).id, role) for m, found_roles in does for role in found_roles))
            found.append(
                Placement(
                    id=setting.ids[index][depth],
                    item=item.id,
                    hole=hole_label(setting.seat.hole(candidate.hole)) if depth == 0 else None,
                    turn=round((level.turn + 90.0 * setting.seat.quarter) % 360.0, 6),
                    stands_on=None if depth == 0 else setting.ids[index][depth - 1],
                    setting_mm=_setting(candidate, item, top),
                    locates=locates,
                    solids=tuple(solid.prism.placed(clean(shifted if solid.moves else frame)) for solid in item.solids),
                    open_solids=opened,
                    contacts=tuple(_contact(setting, meeting) for meeting in candidate.meetings) if top else (),
                    why=_why(setting, candidate, locates, setting.ids[index][depth] in pulled) if top else CARRYING,
                )
            )
    return tuple(found)


def _part(setting: Setting, index: int) -> Part:
    return setting.problem.assembly.parts[index].part


def _setting(candidate: Candidate, item: Item, top: bool) -> float | None:
    """Return what a piece is set to: the top one as it must be, one that only carries to its least; None if nothing is."""
    if top and (item.slide or item.clamp):
        return candidate.setting if candidate.setting is not None else 0.0
    return item.slide.low if item.slide else None


def _contact(setting: Setting, meeting: Meeting) -> PlacedContact:
    return PlacedContact(
        _part(setting, meeting.part).id, meeting.face, setting.point(meeting.at), setting.direction(meeting.normal),
        tuple(setting.point(corner) for corner in meeting.patch),
    )  # fmt: skip


def _why(setting: Setting, candidate: Candidate, locates: tuple[tuple[str, Role], ...], pulled: bool) -> str:
    leaves = PULLED if pulled else ""
    if candidate.clamp:
        return "clamps " + " and ".join(sorted(_part(setting, part).id for part in candidate.parts)) + leaves
    return ", ".join(f"{role} of {part}" for part, role in locates) + leaves


def placed_parts(setting: Setting) -> tuple[PlacedPart, ...]:
    """Return the parts in the table frame and what each rests on."""
    problem = setting.problem
    found = []
    for held in problem.assembly.parts:
        rests = [
            "table" if touch.other == -1 else _part(setting, touch.other).id
            for touch in problem.assembly.touches_of(held.index)
            if touch.normal[2] > 0.5
        ]
        rests += [setting.ids[i][-1] for i, _ in problem.supports[held.index] if i in setting.choice.stands]
        prism = Prism(
            held.prism.outline, held.prism.start, held.prism.end, held.prism.cutouts,
            tuple(map(tuple, clean(setting.move @ np.array(held.prism.frame)).tolist())),
        )  # fmt: skip
        found.append(PlacedPart(held.id, (prism,), tuple(dict.fromkeys(rests))))
    return tuple(found)


def part_contacts(setting: Setting) -> tuple[PartContact, ...]:
    """Return where each part touches parts that are in before it."""
    return tuple(
        PartContact(
            held.id,
            _part(setting, touch.other).id,
            tuple(setting.point(corner) for corner in touch.patch),
            setting.direction(touch.normal),
        )
        for held in setting.problem.assembly.parts
        for touch in setting.problem.assembly.touches_of(held.index)
        if touch.other >= 0
    )
