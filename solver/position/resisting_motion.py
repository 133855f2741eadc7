"""Which candidates resist a small motion of the parts: what a fixture must have one of, or it lets the motion happen.

A choice that is not true enough lets its parts make a small motion within its locators' errors that takes the toleranced
point too far. Every other choice whose locators would all let the same motion happen is no truer: the least-squares motion
of consistent errors is the motion itself. So one candidate at least must resist it: touch a part where the motion moves
it along the contact's normal by more than the candidate's error, or touch two parts that the motion moves apart.
"""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from inventory.shapes import Array
from solver.accuracy import Motion, source_error_mm
from solver.hardware.candidates import Candidate
from solver.position.problem import Problem

SAME = 1 - 1e-4
"""Directions whose product is more than this are one."""
CONSISTENT = 1e-7
"""Contacts of parts and table must follow the motion to within this, mm."""


def candidates_resisting(problem: Problem, moved: Mapping[int, Motion], errors: Array) -> frozenset[int] | None:
    """Return the candidates that resist the motion parts make under errors (S,) of the sources of `moved`.

    None if parts or table themselves do not follow it, or a round part takes part (its spin is nobody's to say), so that
    nothing can be said of other choices.
    """
    turning = [part for part, motion in moved.items() if np.abs(motion.per_source @ errors).max() > 0]
    if any(problem.laid.parts[part].part.section.round for part in turning):
        return None
    if not _parts_follow(problem, moved, errors):
        return None
    return frozenset(
        index for index, candidate in enumerate(problem.candidates) if not candidate.clamp and _resists(candidate, moved, errors)
    )


def _parts_follow(problem: Problem, moved: Mapping[int, Motion], errors: Array) -> bool:
    """Return whether no part leaves or enters the table or another part."""
    for touch in problem.laid.touches:
        for corner in touch.patch if touch.part in moved else ():
            apart = float(touch.normal @ moved[touch.part].at(corner) @ errors)
            if not touch.on_table:
                apart -= float(touch.normal @ moved[touch.other].at(corner) @ errors)
            if abs(apart) > CONSISTENT:
                return False
    return True


def locator_error_mm(candidate: Candidate, normal: Array) -> float:
    """Return the largest error of a locator along one of its normals, mm: its stack's repeatability and the residual left
    between pad and face where increments or holes do not bring them together exactly."""
    residual = 0.0
    for meeting in candidate.meetings:
        if float(meeting.normal @ normal) > SAME:
            gaps = [abs(float((meeting.at - at) @ normal)) for at, along in _pads(candidate) if float(along @ normal) > SAME]
            residual = max(residual, min(gaps, default=0.0))
    return source_error_mm([candidate.stack.repeatability], residual)


def _pads(candidate: Candidate) -> list[tuple[Array, Array]]:
    """Return centre and normal of every pad where it stands."""
    hole = candidate.origin
    return [(hole + pad.at + (candidate.displacement if pad.moves else 0.0), pad.normal) for pad in candidate.stack.pads]


def _resists(candidate: Candidate, moved: Mapping[int, Motion], errors: Array) -> bool:
    """Return whether a locator's error is too small for the motion, or is not one number for all it touches."""
    along: dict[tuple[float, ...], list[float]] = {}
    for meeting in candidate.meetings:
        for at in meeting.points if meeting.part in moved else ():
            given = float(meeting.normal @ moved[meeting.part].at(at) @ errors)
            along.setdefault(tuple(np.round(meeting.normal, 6).tolist()), []).append(given)
    return any(
        max(map(abs, given)) > locator_error_mm(candidate, np.array(normal)) or max(given) - min(given) > CONSISTENT
        for normal, given in along.items()
    )
