"""From which holes the pads of all stacks reach the faces they can meet, for many lattices at once."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from inventory.shapes import Array
from solver.deadline import look
from solver.geometry.hulls import Flags, Hulls, Index
from solver.geometry.pads import Rectangles, pad_patches, side_by_side
from solver.geometry.tolerances import BEARING_SLACK, LEVEL, PARALLEL, SNUG
from solver.hardware.candidates import Lattice
from solver.hardware.free_windows import FreeWindows, free_windows
from solver.hardware.matching import LEAST_PATCH, Match
from solver.hardware.stacks import Stack
from solver.hardware.travel import NO_TRAVEL, Travel, Travels
from solver.laying.laid_weldment import LaidWeldment

EDGE = 0.05
"""The centre of a clamp's tip may lie this far beside its face, as far as boxes know; patches know better, mm."""


@dataclass(frozen=True)
class PlacedPads:
    """Pads in the planes of faces, one row each: match, lattice (indices), hole (n, 2), setting (n,), pad's centre (n, 3)."""

    match: Index
    lattice: Index
    hole: Array
    setting: Array
    centre: Array


@dataclass(frozen=True)
class ReachableHoles:
    """All matches of a weldment's faces with stacks' pads as arrays, one row a match.

    Parameters
    ----------
    stacks, matches : sequences
        What they are.
    stack, part : (m,) arrays
        Each match's stack and part (indices).
    normal, at : (m, 3) arrays
        The pads' normals and centres, seen from the hole.
    travels : Travels
        How pads move with their setting: along no direction if they do not.
    gap : (m,) array
        How far the face lies ahead of the pad with its hole in the origin, along the normal, mm.
    box : (m, 2, 2) array
        Least and greatest x and y of holes from which the pad may touch the face, mm.
    centred, plain : (m,) flags
        Clamps' tips, whose centre must stand on the face; and faces that are rectangles along the pad's sides.
    windows : FreeWindows
        Where along their faces locators may stand.
    """

    stacks: Sequence[Stack]
    matches: Sequence[Match]
    stack: Index
    part: Index
    normal: Array
    at: Array
    travels: Travels
    gap: Array
    box: Array
    centred: Flags
    plain: Flags
    faces: Rectangles
    windows: FreeWindows

    @staticmethod
    def of(stacks: Sequence[Stack], found: Sequence[Match]) -> ReachableHoles:
        """Return the arrays of some matches."""
        normal = np.array([match.pad.normal for match in found]).reshape(-1, 3)
        at = np.array([match.pad.at for match in found]).reshape(-1, 3)
        own = [stacks[match.stack].travel for match in found]
        moving = [
            travel if travel is None or match.pad.moves else travel.unmoved() for travel, match in zip(own, found, strict=True)
        ]
        origins = np.array([match.face.origin for match in found]).reshape(-1, 3)
        gap = ((origins - at) * normal).sum(axis=1)
        centred = np.array([stacks[match.stack].push is not None for match in found], dtype=bool)
        box = [
            _hole_box(match, travel or NO_TRAVEL, *more) for match, travel, *more in zip(found, moving, gap, centred, strict=True)
        ]
        plain = np.array([side_by_side(match.face, match.pad.across) for match in found], dtype=bool)
        faces = Rectangles.of(
            [match.face for match in found], [match.pad.across for match in found],
            [(match.pad.width, match.pad.height) for match in found], [match.share for match in found],
        )  # fmt: skip
        return ReachableHoles(
            stacks, found, np.array([match.stack for match in found], dtype=np.intp),
            np.array([match.face.part for match in found], dtype=np.intp), normal, at, Travels.of(moving), gap,
            np.array(box).reshape(-1, 2, 2), centred, plain, faces,
            FreeWindows.none(len(found)),
        )  # fmt: skip

    @cached_property
    def alike(self) -> Index:
        """A number (m,) for each match, the same for pads of one size and turn that meet one face alike."""
        keys = [
            (
                match.face.part, match.face.label, match.pad.width, match.pad.height, match.share, centred,
                *np.round([*match.pad.across, *match.pad.upward], 12).tolist(),
            )
            for match, centred in zip(self.matches, self.centred.tolist(), strict=True)
        ]  # fmt: skip
        number = {key: count for count, key in enumerate(dict.fromkeys(keys))}
        return np.array([number[key] for key in keys], dtype=np.intp)

    def past(self, laid: LaidWeldment) -> ReachableHoles:
        """Return what is reached past parts and welds: without matches that they shut out everywhere, others within windows."""
        windows = free_windows(self.stacks, self.matches, self.box, laid)
        alive = ~windows.dead()
        rows = np.flatnonzero(alive)
        return ReachableHoles(
            self.stacks, [self.matches[row] for row in rows.tolist()], self.stack[rows], self.part[rows], self.normal[rows],
            self.at[rows],
            self.travels.take(rows), self.gap[rows], self.box[rows], self.centred[rows], self.plain[rows], self.faces.take(rows),
            windows.take(alive),
        )  # fmt: skip

    def placed_pads(self, lattices: Sequence[Lattice], wanted: Flags) -> PlacedPads:
        """Return every hole of the lattices (of one pitch) from which a pad reaches its face's plane, match after match.

        Only `wanted` pairs (m, lattices) of a match and a lattice are looked at.
        """
        pitch = lattices[0].pitch
        phases = np.array([lattice.phase for lattice in lattices])
        first = np.ceil((self.box[:, None, :, 0] - phases - 1e-9 * pitch) / pitch)
        many = np.floor((self.box[:, None, :, 1] - phases + 1e-9) / pitch - first + 1e-12).astype(np.intp) + 1
        count = np.where(wanted, np.maximum(many, 0).prod(axis=2), 0)
        match, lattice = (index.ravel() for index in np.indices(count.shape))
        cell = np.repeat(np.arange(count.size), count.ravel())
        within = np.arange(len(cell)) - np.repeat(np.cumsum(count.ravel()) - count.ravel(), count.ravel())
        match, lattice = match[cell], lattice[cell]
        deep = many.reshape(-1, 2)[cell, 1]
        hole = first.reshape(-1, 2)[cell] + np.stack([within // np.maximum(deep, 1), within % np.maximum(deep, 1)], axis=1)
        level = phases[lattice] + pitch * hole
        setting, fits = self.settings(match, self.gap[match] - (level * self.normal[match, :2]).sum(axis=1))
        fits &= self.windows.hold(match, level)
        match, lattice, hole, level, setting = match[fits], lattice[fits], hole[fits], level[fits], setting[fits]
        centre = self.at[match] + setting[:, None] * self.travels.axis[match]
        centre[:, :2] += level
        return PlacedPads(match, lattice, hole, setting, centre)

    def patches(self, pads: PlacedPads) -> tuple[Index, Array, Hulls]:
        """Return which pads touch their face, the locating point (k, 3) and the convex patch of each."""
        plain = np.flatnonzero(self.plain[pads.match])
        own = pads.match[plain]
        touching, rings, points = self.faces.take(own).patches(pads.centre[plain], LEAST_PATCH, self.centred[own])
        rows, at, pieces = [plain[touching]], [points], list(rings)
        other = np.flatnonzero(~self.plain[pads.match])
        kind = self.alike[pads.match[other]]
        other, kind = (own[np.argsort(kind, kind="stable")] for own in (other, kind))
        for some in np.split(other, np.flatnonzero(np.diff(kind)) + 1) if len(other) else ():
            look()
            match = self.matches[int(pads.match[some[0]])]
            met = pad_patches(
                match.face, pads.centre[some], (match.pad.across, match.pad.upward), (match.pad.width, match.pad.height),
                LEAST_PATCH, match.share, centred=bool(self.centred[pads.match[some[0]]]),
            )  # fmt: skip
            rows.append(some[met.pads])
            at.append(met.points)
            pieces += met.patches
        return np.concatenate(rows), np.concatenate(at), Hulls.of(pieces, np.zeros(len(pieces), dtype=np.intp))

    def settings(self, match: Index, left: Array) -> tuple[Array, Flags]:
        """Return the settings at which pads reach planes `left` (mm) ahead of them, and whether they do.

        Settings of what does not move are its least one.
        """
        gain = (self.normal * self.travels.axis).sum(axis=1)[match]
        travels = self.travels.take(match)
        moves = np.abs(gain) > LEVEL
        gain = np.where(moves, gain, 1.0)
        setting = travels.nearest(left / gain)
        fits = (np.abs(left - setting * gain) <= SNUG) & travels.holds(setting, 1e-9)
        fits = np.where(moves, fits, np.abs(left) <= SNUG)
        return np.where(moves, np.clip(setting, travels.low, travels.high), travels.low), fits


def _hole_box(match: Match, travel: Travel, gap: float, centred: bool) -> tuple[tuple[float, float], tuple[float, float]]:
    """Return the x and y ranges of holes from which a pad may touch its face; the centre of a `centred` one lies on it."""
    look()
    pad, corners = match.pad, match.face.corners()
    normal, axis = pad.normal, travel.axis
    settings = (travel.low, travel.high) if pad.moves else (0.0, 0.0)
    gain = float(normal @ axis)
    travels = sorted((settings[0] * gain, settings[1] * gain)) if abs(gain) > LEVEL else [0.0, 0.0]
    level = float(np.hypot(normal[0], normal[1]))
    if level < LEVEL:
        reach = EDGE if centred else _reach_beside(match)
        shifts = np.array([axis[:2] * settings[0], axis[:2] * settings[1]])
        low = corners[:, :2].min(axis=0) - pad.at[:2] - shifts.max(axis=0) - reach
        high = corners[:, :2].max(axis=0) - pad.at[:2] - shifts.min(axis=0) + reach
        return (float(low[0]), float(high[0])), (float(low[1]), float(high[1]))
    across = np.array([-normal[1], normal[0]]) / level
    spread = (corners[:, :2] - pad.at[:2]) @ across
    half = EDGE if centred else pad.width / 2 - _least_bearing(match.share, pad.width, float(np.ptp(spread)))
    slip = [float(axis[:2] @ across) * setting for setting in settings]
    along = [(gap - travels[1] - SNUG) / level, (gap - travels[0] + SNUG) / level]
    sideways = [float(spread.min()) - half - max(slip), float(spread.max()) + half - min(slip)]
    points = np.array([a * normal[:2] / level + s * across for a in along for s in sideways])
    low, high = points.min(axis=0), points.max(axis=0)
    return (float(low[0]), float(high[0])), (float(low[1]), float(high[1]))


def _reach_beside(match: Match) -> Array:
    """Return how far beside a level face, along x and y (2,), the centre of a pad may be that bears on it, mm."""
    pad, corners = match.pad, match.face.corners()
    wide = np.abs(pad.across[:2])
    if float(wide.max()) < 1 - PARALLEL:
        return np.full(2, (pad.width + pad.height) / 2)
    sizes = np.array([pad.width, pad.height] if wide[0] > wide[1] else [pad.height, pad.width])
    spans = np.ptp(corners[:, :2], axis=0)
    least = [_least_bearing(match.share, float(size), float(span)) for size, span in zip(sizes, spans, strict=True)]
    return sizes / 2 - least


def _least_bearing(share: float, pad: float, face: float) -> float:
    """Return how far at least a pad reaches over a face of some width along one direction, mm."""
    return share * min(pad, face) - BEARING_SLACK
