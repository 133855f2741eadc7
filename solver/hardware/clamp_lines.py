"""Lines of force: which parts each clamp's passes through, and whether table or parts bear it there."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from inventory.shapes import Array
from solver.deadline import look
from solver.geometry.clamp_tips import stands_on_both
from solver.geometry.faces import Face
from solver.geometry.hulls import Flags, Hulls, Index, joined
from solver.geometry.plan_view import beside_patch, within_plan
from solver.geometry.proximity import box_pairs, near
from solver.geometry.tolerances import LEVEL, ONE_PLANE
from solver.hardware.matching import Match
from solver.hardware.sites import Sites
from solver.hardware.stacks import Stack
from solver.laying.laid_weldment import LaidWeldment

THREAD = 0.01
"""A line of force is this thick, mm; distances from it are taken this much to the safe side."""
BESIDE = 0.5
"""A part is clamped only if lines this far (mm) beside the line of force pass through it too, on all four sides."""
AROUND = BESIDE * np.array([[1.0, 0.0], [-1.0, 0.0], [0.0, 1.0], [0.0, -1.0]])
UPRIGHT = 0.9999
"""A push that points up or down by more than this is upright."""
FAR = 20000.0
"""A line of force is followed this far, mm: past any weldment."""
DOWN = -0.5
"""A clamp whose push points down by more than this presses down."""
INSIDE = 0.4
"""A line of force through two parts runs this far (mm) inside the outline both have along it."""


def clamp_tips(sites: Sites) -> Array:
    """Return where each clamp's tip presses, (n, 3); nan for locators."""
    at = np.full((len(sites), 3), np.nan)
    at[sites.meetings.site] = sites.meetings.at
    at[~sites.clamping] = np.nan
    return at


def push_directions(sites: Sites) -> Array:
    """Return each site's push direction (n, 3), 0 for locators."""
    by_stack = np.array([s.push if s.push is not None else np.zeros(3) for s in sites.stacks]).reshape(-1, 3)
    found: Array = by_stack[sites.stack]
    return found


def parts_clamped(sites: Sites, laid: LaidWeldment) -> Flags:
    """Return which parts each clamp's line of force passes through, (n, parts): half a millimetre beside it counts too.

    A line that runs down inside a hollow part does not clamp it; one that runs in its wall does.
    """
    found = np.zeros((len(sites), len(laid.parts)), dtype=bool)
    own = sites.clamping[sites.meetings.site]
    found[sites.meetings.site[own], sites.meetings.part[own]] = True
    upright = np.abs(push_directions(sites)[:, 2]) > UPRIGHT
    _upright_lines(sites, laid, np.flatnonzero(sites.clamping & upright), found)
    _other_lines(sites, laid, np.flatnonzero(sites.clamping & ~upright), found)
    return found


def _upright_lines(sites: Sites, laid: LaidWeldment, rows: Index, found: Flags) -> None:
    """Mark the parts under (or over) tips that push straight down (or up): their plan holds the tip."""
    at, push = clamp_tips(sites)[rows], push_directions(sites)[rows, 2]
    for part in laid.parts:
        low, high = part.extent(np.array([0.0, 0.0, 1.0]))
        ahead = np.where(push < 0, low < at[:, 2] - BESIDE, high > at[:, 2] + BESIDE)
        found[rows, part.index] |= within_plan(part.exact, at, BESIDE) & ahead


def _other_lines(sites: Sites, laid: LaidWeldment, rows: Index, found: Flags) -> None:
    """Mark the parts that level or slanted lines of force pass through: four lines beside each must all do so."""
    if not len(rows):
        return
    at, push = clamp_tips(sites)[rows], push_directions(sites)[rows]
    first = np.cross(push, [0.0, 0.0, 1.0])
    first /= np.linalg.norm(first, axis=1)[:, None]
    second = np.cross(push, first)
    offsets = AROUND[None, :, :1] * first[:, None, :] + AROUND[None, :, 1:] * second[:, None, :]
    starts = (at[:, None, :] + offsets).reshape(-1, 3)
    ends = starts + FAR * np.repeat(push, len(AROUND), axis=0)
    count = np.full(len(starts), 2, dtype=np.intp)
    lines = Hulls(np.stack([starts, ends], axis=1).reshape(-1, 3), np.cumsum(count) - count, count, np.arange(len(starts)))
    parts = joined([part.exact for part in laid.parts])
    i, j = box_pairs(lines.boxes, parts.boxes, THREAD)
    hit = near(lines, i, parts, j, THREAD)
    passes: Flags = np.zeros((len(starts), len(laid.parts)), dtype=bool)
    passes[i[hit], parts.owner[j[hit]]] = True
    through = np.asarray(passes.reshape(len(rows), len(AROUND), -1).all(axis=1))
    found[rows] |= through


def clamped_over_support(sites: Sites, laid: LaidWeldment) -> Flags:
    """Return whether table or an earlier part bears each clamp near its line of force, part by part, (n, parts).

    Always true for clamps that do not press down.
    """
    return np.stack([borne_at(sites, laid, part.index) for part in laid.parts], axis=1)


def borne_at(sites: Sites, laid: LaidWeldment, part: int) -> Flags:
    """Return whether table or an earlier part bears a part (by its index) near each clamp's line of force, (n,).

    Always true for clamps that do not press down.
    """
    down = push_directions(sites)[:, 2] < DOWN
    rows = np.flatnonzero(down)
    at, reach = clamp_tips(sites)[rows], laid.rules["clamp.over_support"] - THREAD
    found: Flags = ~down
    for touch in laid.supports_of(part):
        found[rows] |= beside_patch(touch.patch, at, reach)
    return found


@dataclass(frozen=True)
class ClampWindow:
    """From which holes a clamp's tip on a face (a match, by its number) may also clamp a part: level bounds (2, 2), mm."""

    match: int
    part: int
    holes: Array


def parts_clamped_at_most(
    laid: LaidWeldment, stacks: Sequence[Stack], found: Sequence[Match]
) -> list[tuple[int, frozenset[int]]]:
    """Return (stack, parts) for every clamp and every face it may press: the parts it clamps at most while it does.

    Those are the parts its tip may stand on together with that one - on their border, clear of welds - and the parts that a
    line of force through any of them may pass through.
    """
    return list(dict.fromkeys((found[number].stack, parts) for number, parts in _clamped_by(laid, stacks, found)))


def clamp_windows(laid: LaidWeldment, stacks: Sequence[Stack], found: Sequence[Match]) -> list[ClampWindow]:
    """Return for every clamp and face it may press the holes from which it may clamp each part, at most."""
    return [
        ClampWindow(number, part, _window(laid, stacks[found[number].stack], found[number], part))
        for number, parts in _clamped_by(laid, stacks, found)
        for part in sorted(parts)
    ]


def _window(laid: LaidWeldment, stack: Stack, match: Match, part: int) -> Array:
    """Return the level bounds of holes from which a tip on a face may stand where its line of force meets a part, (2, 2)."""
    look()
    push, pad, travel = stack.push, stack.pads[match.pad_index], stack.travel
    assert push is not None
    corners, bounds = match.face.corners(), np.array([[-np.inf, -np.inf], [np.inf, np.inf]])
    for axis in range(2):
        if abs(float(push[axis])) > LEVEL:
            continue
        low, high = laid.parts[part].extent(np.eye(3)[axis])
        shifts = [0.0, 0.0] if travel is None else sorted((travel.axis[axis] * travel.low, travel.axis[axis] * travel.high))
        bounds[0, axis] = max(low, float(corners[:, axis].min())) - ONE_PLANE - pad.at[axis] - shifts[1]
        bounds[1, axis] = min(high, float(corners[:, axis].max())) + ONE_PLANE - pad.at[axis] - shifts[0]
    return bounds


def _clamped_by(laid: LaidWeldment, stacks: Sequence[Stack], found: Sequence[Match]) -> list[tuple[int, frozenset[int]]]:
    """Return (match, parts) for every clamp's tip on a face: the parts it clamps at most while it stands there."""
    pressed: dict[int, dict[tuple[int, str], tuple[int, Face]]] = {}
    for number, match in enumerate(found):
        if stacks[match.stack].push is not None:
            pressed.setdefault(match.stack, {})[match.face.part, match.face.label] = number, match.face
    known: dict[tuple[object, ...], list[frozenset[int]]] = {}
    clamped: list[tuple[int, frozenset[int]]] = []
    for index, faces in pressed.items():
        push, bodily = stacks[index].push, stacks[index].tip_in_body
        assert push is not None
        key = (*np.round(push, 6).tolist(), bodily, *faces)
        if key not in known:
            known[key] = _clamped_together(laid, push, bodily, [face for _, face in faces.values()])
        clamped += zip((number for number, _ in faces.values()), known[key], strict=True)
    return clamped


def _clamped_together(laid: LaidWeldment, push: Array, bodily: bool, faces: Sequence[Face]) -> list[frozenset[int]]:
    """Return for each face the parts that a clamp may clamp while its tip stands on that face.

    `bodily`: the tip is part of the clamp's body, and keeps the body's distance from welds.
    """
    apart = _apart(laid, push)
    through: Flags = apart < -INSIDE
    np.fill_diagonal(through, True)
    part, height = np.array([face.part for face in faces]), np.array([push @ face.origin for face in faces])
    together = (apart[part[:, None], part] <= ONE_PLANE) & (np.abs(height[:, None] - height) <= ONE_PLANE)
    paths, clear = (laid.paths, laid.rules["clear.weld"]) if bodily else ((), 0.0)
    for i, j in np.argwhere(np.triu(together, 1)).tolist():
        if part[i] != part[j]:
            together[i, j] = together[j, i] = stands_on_both(faces[i], faces[j], paths, clear)
    return [frozenset(np.flatnonzero(through[part[own]].any(axis=0)).tolist()) for own in together]


def _apart(laid: LaidWeldment, push: Array) -> Array:
    """Return how far apart every two parts are at least, seen along a push (parts, parts), mm; below 0 if their boxes overlap."""
    first = np.cross(push, [0.0, 0.0, 1.0] if abs(push[2]) < 0.9 else [1.0, 0.0, 0.0])
    first /= np.linalg.norm(first)
    axes = (first, np.cross(push, first))
    low, high = np.moveaxis(np.array([[part.extent(axis) for axis in axes] for part in laid.parts]), 2, 0)
    gaps: Array = np.maximum(low[:, None] - high[None], low[None] - high[:, None]).max(axis=2)
    return gaps
