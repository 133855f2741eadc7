"""A choice's pieces, parts and contacts in the table frame."""

from __future__ import annotations

from collections.abc import Collection

import numpy as np

from inventory.items import Item
from inventory.shapes import Prism
from inventory.tables import hole_label
from solver.answer.chosen_fixture import ChosenFixture, clean
from solver.hardware.candidates import Candidate, Meeting
from solver.laying.laid_weldment import LaidPart
from solver.model.choice import Choice
from solver.plans import PartContact, PlacedContact, PlacedPart, Placement, Role
from solver.position.problem import Problem
from solver.weldment import Part

CARRYING = "carries the piece above at its height"
PULLED = "; pulled each cycle before the weldment leaves"


def roles(problem: Problem, choice: Choice, candidate: Candidate) -> list[tuple[Meeting, tuple[Role, ...]]]:
    """Return what each of a locator's pads does for its part."""
    if candidate.clamp:
        return []
    found: list[tuple[Meeting, tuple[Role, ...]]] = []
    for meeting in candidate.meetings:
        does: list[Role] = ["support"] if meeting.normal[2] > 0.5 else []
        across = meeting.sideways
        if meeting.tip:
            does.append("end")
        elif across is not None:
            group = next(problem.groups[g] for g in choice.sides if problem.groups[g].part == meeting.part)
            along = float(group.normal @ across)
            side = along > 1 - 1e-4 or (candidate.stack.top.kind == "vee" and along < 1e-4 - 1)
            if group.around:
                side = meeting is not _end_of_round(problem, choice, meeting.part)
            does.append("side" if side else "end")
        found.append((meeting, tuple(does)))
    return found


def _end_of_round(problem: Problem, choice: Choice, part: int) -> Meeting:
    """Return which of the level contacts with an upright round part is called its end: any may be, the last if none is named."""
    named = [problem.candidates[index].meetings[number] for index, number in sorted(choice.around_end)]
    return next((meeting for meeting in named if meeting.part == part), _all_around(problem, choice, part)[-1])


def _all_around(problem: Problem, choice: Choice, part: int) -> list[Meeting]:
    """Return the level contacts of a choice with an upright round part."""
    chosen = (problem.candidates[index] for index in choice.candidates if not problem.candidates[index].clamp)
    return [m for candidate in chosen for m in candidate.meetings if m.part == part and m.sideways is not None]


def placements(fixture: ChosenFixture, pulled: Collection[str] = ()) -> tuple[Placement, ...]:
    """Return every piece of a choice, in setting order; `pulled` are the ids of pieces pulled before the weldment leaves."""
    found = []
    for index in fixture.ordered:
        candidate = fixture.problem.candidates[index]
        stack = candidate.stack
        where = fixture.move.copy()
        where[:3, 3] = fixture.point(candidate.origin)
        for depth, level in enumerate(stack.levels):
            top = depth == len(stack.levels) - 1
            frame = where @ level.frame
            shifted = frame.copy()
            shifted[:3, 3] += fixture.move[:3, :3] @ (candidate.displacement if top else level.frame[:3, :3] @ level.at_rest)
            item = level.item
            opened = None
            if item.clamp is not None and item.clamp.open_solids is not None:
                opened = tuple(prism.placed(clean(frame)) for prism in item.clamp.open_solids)
            does = roles(fixture.problem, fixture.choice, candidate) if top else []
            locates = tuple(dict.fromkeys((_part(fixture, m.part).id, role) for m, found_roles in does for role in found_roles))
            found.append(
                Placement(
                    id=fixture.ids[index][depth],
                    item=item.id,
                    hole=hole_label(fixture.seat.hole(candidate.hole)) if depth == 0 else None,
                    turn=round((level.turn + 90.0 * fixture.seat.quarter) % 360.0, 6),
                    stands_on=None if depth == 0 else fixture.ids[index][depth - 1],
                    setting_mm=_setting(candidate, item, top),
                    locates=locates,
                    solids=tuple(solid.prism.placed(clean(shifted if solid.moves else frame)) for solid in item.solids),
                    open_solids=opened,
                    contacts=tuple(_contact(fixture, meeting) for meeting in candidate.meetings) if top else (),
                    why=_why(fixture, candidate, locates, fixture.ids[index][depth] in pulled) if top else CARRYING,
                    station=fixture.station,
                )
            )
    return tuple(found)


def _part(fixture: ChosenFixture, index: int) -> Part:
    return fixture.problem.laid.parts[index].part


def _setting(candidate: Candidate, item: Item, top: bool) -> float | None:
    """Return what a piece is set to: the top one as it must be, one that only carries to its least; None if nothing is."""
    if top and (item.slide or item.clamp):
        return candidate.setting if candidate.setting is not None else 0.0
    return item.slide.low if item.slide else None


def _contact(fixture: ChosenFixture, meeting: Meeting) -> PlacedContact:
    return PlacedContact(
        _part(fixture, meeting.part).id, meeting.face, fixture.point(meeting.at), fixture.direction(meeting.normal),
        tuple(fixture.point(corner) for corner in meeting.patch),
    )  # fmt: skip


def _why(fixture: ChosenFixture, candidate: Candidate, locates: tuple[tuple[str, Role], ...], pulled: bool) -> str:
    leaves = PULLED if pulled else ""
    if candidate.clamp:
        return "clamps " + " and ".join(sorted(_part(fixture, part).id for part in candidate.parts)) + leaves
    return ", ".join(f"{role} of {part}" for part, role in locates) + leaves


def placed_parts(fixture: ChosenFixture) -> tuple[PlacedPart, ...]:
    """Return the parts in the table frame and what each rests on; of an outer body nobody knows."""
    problem = fixture.problem
    found = []
    for held in problem.laid.parts:
        rests = [
            "table" if touch.other == -1 else _part(fixture, touch.other).id
            for touch in problem.laid.touches_of(held.index)
            if touch.normal[2] > 0.5
        ]
        rests += [fixture.ids[i][-1] for i, _ in problem.supports[held.index] if i in fixture.choice.candidates]
        found.append(PlacedPart(held.id, (_solid(fixture, held),), tuple(dict.fromkeys(rests)), fixture.station))
    found += [PlacedPart(body.id, (_solid(fixture, body),), (), fixture.station) for body in problem.laid.bodies]
    return tuple(found)


def _solid(fixture: ChosenFixture, held: LaidPart) -> Prism:
    frame = tuple(map(tuple, clean(fixture.move @ np.array(held.prism.frame)).tolist()))
    return Prism(held.prism.outline, held.prism.start, held.prism.end, held.prism.cutouts, frame, held.prism.cuts)


def part_contacts(fixture: ChosenFixture) -> tuple[PartContact, ...]:
    """Return where each part touches parts that are in before it."""
    return tuple(
        PartContact(
            held.id,
            _part(fixture, touch.other).id,
            tuple(fixture.point(corner) for corner in touch.patch),
            fixture.direction(touch.normal),
            fixture.station,
        )
        for held in fixture.problem.laid.parts
        for touch in fixture.problem.laid.touches_of(held.index)
        if touch.other >= 0
    )
