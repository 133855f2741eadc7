"""The contact system of a lattice position: its candidates as contacts and clamps, what each could push with."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from inventory.shapes import Array
from solver.geometry.joints import Sample, point_at, toes
from solver.laying.laid_weldment import LaidWeldment
from solver.laying.lay_out import drawn_bead
from solver.position.problem import Problem
from solver.statics import (
    ClampForce,
    Clamps,
    ContactPoint,
    Contacts,
    ContactSystem,
    LoadCases,
    PartWeights,
    WeldJoint,
    load_cases,
    patch_points,
)

GRAVITY = 9.80665


def part_weights_of(laid: LaidWeldment) -> PartWeights:
    """Return the parts' centres and weights."""
    return PartWeights(np.array([part.centre for part in laid.parts]), np.array([part.mass * GRAVITY for part in laid.parts]))


def load_cases_of(laid: LaidWeldment) -> LoadCases:
    """Return the load cases of the weldment in this lie; a weld made outside the fixture is asked like any other."""
    index = {part.id: k for k, part in enumerate(laid.weldment.parts)}
    joints = []
    for k, (weld, path) in enumerate(zip(laid.weldment.welds, laid.paths, strict=True)):
        leg = weld.leg if weld.leg is not None else (weld.throat or 0.0) * math.sqrt(2)
        ends = np.array([path[0], path[-1]])
        bead = [sample for sample in laid.samples if sample.weld == k] or _bead(laid, k)
        near = [_nearest(bead, end) for end in ends]
        feet = np.array([toes(sample, leg) if sample else (end, end) for sample, end in zip(near, ends, strict=True)])
        feet += np.array([end - (sample.at if sample else end) for sample, end in zip(near, ends, strict=True)])[:, None, :]
        length = float(np.linalg.norm(np.diff(path, axis=0), axis=1).sum())
        throat = weld.throat if weld.throat is not None else leg / math.sqrt(2)
        pair = (index[weld.parts[0]], index[weld.parts[1]])
        kind = weld.kind if all(near) else "butt"
        joints.append(WeldJoint(weld.id, pair, ends, point_at(path, length / 2), feet, kind, throat))
    return load_cases(joints, laid.rules)


def _bead(laid: LaidWeldment, weld: int) -> list[Sample]:
    shift = laid.paths[weld][0] - laid.rotation @ np.array(laid.weldment.welds[weld].path[0])
    return [sample.moved(laid.rotation, shift) for sample in drawn_bead(laid.weldment, weld, laid.rules)]


def _nearest(bead: Sequence[Sample], point: Array) -> Sample | None:
    return min(bead, key=lambda sample: float(np.linalg.norm(sample.at - point)), default=None)


def contact_system_of(problem: Problem) -> ContactSystem:
    """Return all contacts and clamps of a lattice position: those of table and parts always, each candidate's as its own.

    A locator's normals together bear at most what its stack bears within the allowed deflection; a clamp whose pad lies on
    several parts presses on each with its share.
    """
    laid = problem.laid
    points: list[ContactPoint] = []
    clamps: list[ClampForce] = []
    caps: list[float] = []
    for touch in laid.touches:
        if touch.on_table:
            points += patch_points(touch.part, touch.patch.tolist(), touch.normal.tolist())
        elif touch.part < touch.other:
            points += patch_points(touch.part, touch.patch.tolist(), touch.normal.tolist(), touch.other)
    for index, candidate in enumerate(problem.candidates):
        stack = candidate.stack
        clamp = stack.top.clamp
        for meeting in candidate.meetings:
            if clamp is not None and stack.push is not None:
                share = clamp.force_n / len(candidate.meetings)
                clamps.append(ClampForce(meeting.part, meeting.at.tolist(), stack.push.tolist(), share, index))
                continue
            caps.append(stack.stiffness * laid.rules["stack.deflection_max"])
            points += patch_points(
                meeting.part, meeting.patch.tolist(), meeting.normal.tolist(), owner=index, cap_group=len(caps) - 1
            )
    return ContactSystem(part_weights_of(laid), Contacts.of(points, caps), Clamps.of(clamps), laid.rules["hold.friction"])
