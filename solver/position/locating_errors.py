"""How true a choice holds its parts: condition of every locator matrix, and the error at every toleranced point."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from inventory.shapes import Array, Point3
from solver.accuracy import (
    EXACT,
    Axis,
    Motion,
    PartContacts,
    PointDeviation,
    block_rows,
    locating_state,
    locator_matrix,
    motions,
    point_deviation,
    state_of_rows,
    weakest_motion,
)
from solver.laying.laid_weldment import ClosedRing, LaidPart, LaidWeldment
from solver.position.problem import Problem
from solver.position.resisting_motion import candidates_resisting, locator_error_mm
from solver.weldment import Tolerance, Weldment

AXES: tuple[Point3, ...] = ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))
MOST_ROWS = 100
"""A part has at most so many contacts: its locators, and the corners of what table and parts give it."""


@dataclass(frozen=True)
class LocatingViolation:
    """A rule a choice breaks: which part, the value and its limit, and the candidates that locate the parts concerned.

    `needed` are candidates of which every truer choice has one at least; None if that is not known.
    """

    rule: str
    part: int
    value: float
    limit: float
    locators: tuple[int, ...]
    needed: frozenset[int] | None = None

    def text(self, problem: Problem) -> str:
        """Return what is broken in words."""
        what = "condition number" if self.rule == "locate.condition_max" else "worst-case locating error (mm)"
        return f"{what} of {problem.laid.parts[self.part].id} {self.value:.3g}, limit {self.limit:.3g}"


def locating_violations(problem: Problem, chosen: Sequence[int]) -> list[LocatingViolation]:
    """Return what a choice's locators leave too badly conditioned or too inaccurate, worst first."""
    contacts, errors = _contacts(problem, chosen)
    found = _badly_conditioned(problem, chosen, contacts)
    if not found and problem.laid.weldment.tolerances:
        found = _inaccurate(problem, chosen, contacts, errors)
    return sorted(found, key=lambda entry: -entry.value / entry.limit)


def _contacts(problem: Problem, chosen: Sequence[int]) -> tuple[dict[int, PartContacts], Array]:
    """Return each part's rows in load order, and the largest error of every source, mm."""
    laid = problem.laid
    order = laid.order or ()
    sources: dict[tuple[int, tuple[float, ...]], int] = {}
    errors: list[float] = []
    found: dict[int, PartContacts] = {}
    for part in order:
        rows: list[tuple[Array, Array, int, int]] = []
        for index in chosen:
            candidate = problem.candidates[index]
            if candidate.clamp:
                continue
            for meeting in candidate.meetings:
                if meeting.part != part:
                    continue
                key = (index, tuple(np.round(meeting.normal, 6).tolist()))
                if key not in sources:
                    sources[key] = len(errors)
                    errors.append(locator_error_mm(candidate, meeting.normal))
                rows += [(at, meeting.normal, sources[key], -1) for at in meeting.points]
        for touch in laid.touches_of(part):
            on = -1 if touch.on_table else order.index(touch.other)
            rows += [(corner, touch.normal, EXACT, on) for corner in touch.patch]
        found[part] = PartContacts(
            np.array([row[0] for row in rows]).reshape(-1, 3),
            np.array([row[1] for row in rows]).reshape(-1, 3),
            np.array([row[2] for row in rows], dtype=np.intp),
            np.array([row[3] for row in rows], dtype=np.intp),
        )
    return found, np.array(errors)


def _locators(problem: Problem, chosen: Sequence[int], parts: Sequence[int]) -> tuple[int, ...]:
    return tuple(
        index for index in chosen if not problem.candidates[index].clamp and problem.candidates[index].parts & set(parts)
    )


def _badly_conditioned(problem: Problem, chosen: Sequence[int], contacts: dict[int, PartContacts]) -> list[LocatingViolation]:
    limit = problem.laid.rules["locate.condition_max"]
    together = problem.together(chosen)
    found = list(_rings_badly_conditioned(problem, chosen, contacts, together))
    for held in problem.laid.parts:
        if any(held.index in ring.parts for ring in together):
            continue
        rows = contacts[held.index]
        spin = Axis(held.frame[:3, 3], held.frame[:3, 2]) if held.part.section.round else None
        state = locating_state(rows.at, rows.normal, held.centre, held.gyration, spin, enough=limit)
        if state.condition > limit * 0.999:
            motion = weakest_motion(rows.at, rows.normal, held.centre, held.gyration, spin)
            locators = _locators(problem, chosen, _with_rings(problem.laid, [held.index]))
            needed = _resisting(problem, held, motion, rows, limit)
            needed = None if needed is not None and needed & set(locators) else needed
            found.append(LocatingViolation("locate.condition_max", held.index, state.condition, limit, locators, needed))
    return found


def _rings_badly_conditioned(
    problem: Problem, chosen: Sequence[int], contacts: dict[int, PartContacts], together: Sequence[ClosedRing]
) -> Iterator[LocatingViolation]:
    limit, order = problem.laid.rules["locate.condition_max"], problem.laid.order or ()
    for ring in together:
        held = [problem.laid.parts[part] for part in ring.parts]
        names = [order.index(part) for part in ring.parts]
        own = [contacts[part] for part in ring.parts]
        rows = block_rows(own, names, [part.centre for part in held], [part.gyration for part in held])
        condition = state_of_rows(rows, limit * 0.999).condition
        if condition > limit * 0.999:
            locators = _locators(problem, chosen, ring.parts)
            yield LocatingViolation("locate.condition_max", ring.parts[0], condition, limit, locators)


def _with_rings(laid: LaidWeldment, parts: Sequence[int]) -> list[int]:
    """Return parts with those they may be located together with."""
    return [*parts, *(part for ring in laid.rings if set(parts) & set(ring.parts) for part in ring.parts if part not in parts)]


def _resisting(problem: Problem, held: LaidPart, motion: Array, given: PartContacts, limit: float) -> frozenset[int] | None:
    """Return the locators of which a part needs one to be conditioned as its limit asks; None if nothing can be said.

    Rows G of a part in condition have |G q| >= the least singular value >= the greatest / limit for every motion q of length
    1, and the greatest is at least 1 / 2: the mean of the rows' squares is 1, or little less where a spin is left out. So one
    of at most `MOST_ROWS` rows resists q by more than 1 / (2 limit sqrt(MOST_ROWS)); what is given may not do it. A part that is
    located together with its ring is not asked for a condition of its own.
    """
    enough = 0.5 / (limit * MOST_ROWS**0.5)
    fixed = given.source == EXACT
    if (np.abs(locator_matrix(given.at[fixed], given.normal[fixed], held.centre, held.gyration) @ motion) >= enough).any():
        return None
    meetings = [
        (index, meeting)
        for index, candidate in enumerate(problem.candidates)
        if not candidate.clamp
        for meeting in candidate.meetings
        if meeting.part == held.index and not meeting.tip
    ]
    ring = frozenset(
        stop
        for ring, stops in zip(problem.laid.rings, problem.tip_stops, strict=True)
        if held.index in ring.parts
        for stop in stops
    )
    if not meetings:
        return ring
    at, normal = (np.array([getattr(meeting, name) for _, meeting in meetings]) for name in ("at", "normal"))
    resists = np.abs(locator_matrix(at, normal, held.centre, held.gyration) @ motion) >= enough
    return ring | frozenset(meetings[k][0] for k in np.flatnonzero(resists).tolist())


def _inaccurate(
    problem: Problem, chosen: Sequence[int], contacts: dict[int, PartContacts], errors: Array
) -> list[LocatingViolation]:
    """Return tolerances that locating alone may use more of than allowed."""
    number = {held.id: held.index for held in problem.laid.parts}
    found = []
    for tolerance, error, moved in _errors(problem, chosen, contacts, errors):
        limit = problem.laid.rules["locate.tolerance_share"] * tolerance.plus_minus
        if error.worst_mm > limit * (1 - 1e-6):
            part, other = number[tolerance.part], number.get(tolerance.relative_to or "")
            chain = _carrying(problem, [part] if other is None else [part, other])
            locators = _locators(problem, chosen, chain)
            worst = np.sign(error.shares_mm) * errors * min(1.0, limit * (1 + 1e-6) / error.worst_mm)
            needed = candidates_resisting(problem, moved, worst)
            if needed is not None and needed & set(locators):
                needed = None
            found.append(LocatingViolation("locate.tolerance_share", part, error.worst_mm, limit, locators, needed))
    return found


def deviations_at(problem: Problem, chosen: Sequence[int]) -> list[tuple[Tolerance, PointDeviation]]:
    """Return the locating error of a choice at every toleranced point, the worse of the two ways to read the rule."""
    return [(tolerance, error) for tolerance, error, _ in _errors(problem, chosen, *_contacts(problem, chosen))]


def largest_error(problem: Problem, chosen: Sequence[int]) -> float:
    """Return by how much a choice locates worst, mm: the largest error at the toleranced points along their directions.

    Of a weldment without tolerances: at both ends of every weld, of either part, along x, y and z of the weldment.
    """
    contacts, errors = _contacts(problem, chosen)
    points = problem.laid.weldment.tolerances or tuple(_weld_ends(problem.laid.weldment))
    return max((error.worst_mm for _, error, _ in _errors(problem, chosen, contacts, errors, points)), default=0.0)


def _weld_ends(weldment: Weldment) -> Iterator[Tolerance]:
    for weld in weldment.welds:
        for part in weld.parts:
            for end in (weld.path[0], weld.path[-1]):
                yield from (Tolerance(part, end, axis, 1.0) for axis in AXES)


def _errors(
    problem: Problem,
    chosen: Sequence[int],
    contacts: dict[int, PartContacts],
    errors: Array,
    points: Sequence[Tolerance] | None = None,
) -> list[tuple[Tolerance, PointDeviation, dict[int, Motion]]]:
    laid = problem.laid
    order = laid.order or ()
    number = {held.id: held.index for held in laid.parts}
    shift = np.array([0.0, 0.0, laid.lift])
    together = [[order.index(part) for part in ring.parts] for ring in problem.together(chosen)]
    in_order = [contacts[part] for part in order]
    readings = [
        dict(zip(order, motions(in_order, len(errors), locators_first=first, together=together), strict=True))
        for first in (True, False)
    ]
    found = []
    for tolerance in laid.weldment.tolerances if points is None else points:
        part, other = number[tolerance.part], number.get(tolerance.relative_to or "")
        point = _point(laid.rotation @ np.array(tolerance.point) + shift)
        direction = _point(laid.rotation @ np.array(tolerance.direction))
        read = [
            (point_deviation(moved[part], point, direction, errors, None if other is None else moved[other]), moved)
            for moved in readings
        ]
        found.append((tolerance, *max(read, key=lambda entry: entry[0].worst_mm)))
    return found


def _point(values: Array) -> Point3:
    return float(values[0]), float(values[1]), float(values[2])


def _carrying(problem: Problem, parts: list[int]) -> list[int]:
    """Return parts, those they may be located together with, all earlier parts that touch them, and so on down to the table."""
    waiting = _with_rings(problem.laid, parts)
    found = set(waiting)
    while waiting:
        on = [touch.other for touch in problem.laid.touches_of(waiting.pop()) if not touch.on_table]
        new = [part for part in _with_rings(problem.laid, on) if part not in found]
        found |= set(new)
        waiting += new
    return sorted(found)
