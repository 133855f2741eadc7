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
from solver.accuracy import Motion
from solver.candidates.problem import Problem

CONSISTENT = 1e-7
"""Contacts of parts and table must follow the motion to within this, mm."""


def resisting(problem: Problem, moved: Mapping[int, Motion], errors: Array) -> frozenset[int] | None:
    """Return the candidates that resist the motion parts make under errors (S,) of the sources of `moved`.

    None if parts or table themselves do not follow it, or a round part takes part (its spin is nobody's to say), so that
    nothing can be said of other choices.
    """
    for part, motion in moved.items():
        if problem.assembly.parts[part].part.section.round and np.abs(motion.per_source @ errors).max() > 0:
            return None
    for touch in problem.assembly.touches:
        if touch.part not in moved:
            continue
        for corner in touch.patch:
            apart = float(touch.normal @ moved[touch.part].at(corner) @ errors)
            if touch.other >= 0:
                apart -= float(touch.normal @ moved[touch.other].at(corner) @ errors)
            if abs(apart) > CONSISTENT:
                return None
    found = set()
    for index, candidate in enumerate(problem.candidates):
        if candidate.clamp:
            continue
        along: dict[tuple[float, ...], list[float]] = {}
        for meeting in candidate.meetings:
            if meeting.part in moved:
                given = float(meeting.normal @ moved[meeting.part].at(meeting.at) @ errors)
                along.setdefault(tuple(np.round(meeting.normal, 6).tolist()), []).append(given)
        for given_by in along.values():
            follows = max(abs(given) for given in given_by) <= candidate.stand.repeatability
            if not follows or max(given_by) - min(given_by) > CONSISTENT:
                found.add(index)
    return frozenset(found)
