"""Where a stand's pads meet the weldment's faces, for one position of the lattice under the weldment."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from inventory.items import Item
from inventory.shapes import Array
from solver.candidates.assembly import Assembly, HeldPart
from solver.candidates.reaching import obstructed, out_of_reach
from solver.candidates.stands import DEEPEST, Pad, Stand, arms, carriers, raised, single, turns_of
from solver.geometry.faces import Face
from solver.geometry.hulls import Hulls, joined

SNUG = 0.04
"""A pad that comes this near to a face touches it (mm); the contract's 0.05 less room for rounding."""
LEAST_PATCH = 3.0
"""A patch is at least this wide and high (mm), or as wide and high as the pad or the face is."""
LEVEL = 1e-6
SLOPING = 0.3


@dataclass(frozen=True)
class Lattice:
    """Hole centres in the lie frame: ``phase + pitch * (column, row)``, any whole column and row."""

    phase: tuple[float, float]
    pitch: float

    def at(self, holes: Array) -> Array:
        """Return the centres (n, 3) of holes (n, 2) on the table's top."""
        centres = np.zeros((len(holes), 3))
        centres[:, :2] = np.array(self.phase) + self.pitch * holes
        return centres


@dataclass(frozen=True)
class Meeting:
    """A pad against a face: part index, face label, locating point, normal into the part, patch (k, 3)."""

    part: int
    face: str
    at: Array
    normal: Array
    patch: Array

    @property
    def level(self) -> bool:
        """Whether the pad pushes straight sideways (its normal is level)."""
        return abs(float(self.normal[2])) < LEVEL

    @property
    def sideways(self) -> Array | None:
        """The level direction (unit) in which the pad locates, None if it hardly does: a V's flank locates down and sideways."""
        level = np.array([self.normal[0], self.normal[1], 0.0])
        length = float(np.linalg.norm(level))
        return level / length if length > SLOPING else None


@dataclass(frozen=True)
class Candidate:
    """A stand in a hole at a setting, with everything its pads meet."""

    stand: Stand
    hole: tuple[int, int]
    origin: Array
    setting: float | None
    meetings: tuple[Meeting, ...]

    @cached_property
    def parts(self) -> frozenset[int]:
        """The parts its pads meet."""
        return frozenset(meeting.part for meeting in self.meetings)

    @property
    def clamp(self) -> bool:
        """Whether it clamps; everything else locates."""
        return self.stand.top.clamp is not None

    @property
    def holes(self) -> list[tuple[int, int]]:
        """The holes its pegs take."""
        return [(self.hole[0] + x, self.hole[1] + y) for x, y in self.stand.pegs]

    @property
    def travel(self) -> Array:
        """How far its moving solids stand from setting 0, (3,)."""
        if self.stand.travel is None or self.setting is None:
            return np.zeros(3)
        return self.stand.travel[0] * self.setting


@dataclass(frozen=True)
class Match:
    """A pad that can meet a face somewhere: which stand, pad index, pad and face."""

    stand: int
    pad_index: int
    pad: Pad
    face: Face

    def place(self, axis: int) -> float | None:
        """Return where along an axis (0: x, 1: y) the hole must be to meet the face, mm; None if that depends on both."""
        normal = self.pad.normal
        if abs(float(normal[axis])) < SLOPING or abs(float(normal[1 - axis])) > LEVEL:
            return None
        return float(normal @ (self.face.origin - self.pad.at)) / float(normal[axis])


def matches(items: Sequence[Item], assembly: Assembly, pitch: float) -> tuple[list[Stand], list[Match]]:
    """Return the stands that can meet the weldment somewhere, and every pad and face of theirs that can meet.

    A piece is raised only to reach what it cannot reach from lower down: it stands on risers to meet a face only if it
    cannot meet that face on fewer of them. It stands on an arm only to meet an upright face that another part lies in front
    of, or a level one that it reaches from no hole beside the parts.
    """
    under, sideways = carriers(items, pitch), arms(items, pitch)
    faces = [face for part in assembly.parts for face in part.faces] if sideways else []
    hindered = obstructed(assembly) if sideways else frozenset()
    hidden = frozenset((f.part, f.label) for part in assembly.parts for f in part.faces if part.covered(f, assembly.touches))
    stands: list[Stand] = []
    found: list[Match] = []

    def add(stand: Stand, pads: Sequence[tuple[int, Face]]) -> list[tuple[int, Face]]:
        hits = [(k, face) for k, face in pads if _within_height(stand, stand.pads[k], face)]
        if hits:
            found.extend(Match(len(stands), k, stand.pads[k], face) for k, face in hits)
            stands.append(stand)
        return hits

    for item in items:
        if not item.contacts:
            continue
        alone = [single(item, turn) for turn in turns_of(item, _wanted_turns(item, assembly))]
        over = hindered | frozenset((f.part, f.label) for f in faces if out_of_reach(f, alone, assembly))
        for first in alone:
            turn = first.turn
            pads = _facing_pads(first, assembly, hidden)
            unmet = list(pads)
            for depth in range(DEEPEST + 1):
                layer = (
                    [first]
                    if depth == 0
                    else [stand for c in under if len(c.levels) == depth for stand in raised(item, turn, c, pitch)]
                )
                met = {(k, face.part, face.label) for stand in layer for k, face in add(stand, unmet)}
                unmet = [(k, face) for k, face in unmet if (k, face.part, face.label) not in met]
                if not unmet:
                    break
            beyond = [(k, face) for k, face in pads if (face.part, face.label) in over]
            for arm in sideways if beyond else ():
                for stand in raised(item, turn, arm, pitch):
                    add(stand, [(k, face) for k, face in beyond if _reaches_out(stand, first.pads[k], face)])
    return stands, found


def _reaches_out(stand: Stand, pad: Pad, face: Face) -> bool:
    """Return whether an arm takes a piece the way it has to reach: towards an upright face, or on the way to its own pad."""
    level = abs(float(face.normal[2])) > LEVEL
    towards = pad.at * [1.0, 1.0, 0.0] if level else -face.normal
    return (level and float(np.hypot(*towards[:2])) < LEVEL) or float(stand.reach @ towards) > LEVEL


def _facing_pads(stand: Stand, assembly: Assembly, hidden: frozenset[tuple[int, str]]) -> list[tuple[int, Face]]:
    """Return (pad index, face) of the stand's pads and the faces they look straight at, whatever their height."""
    return [
        (index, face)
        for index, pad in enumerate(stand.pads)
        for part in assembly.parts
        for face in part.faces_towards(pad.normal)
        if (face.part, face.label) not in hidden
    ]


def _wanted_turns(item: Item, assembly: Assembly) -> list[float]:
    """Return the turns at which a piece that may stand at any turn looks straight at some upright face or round part."""
    wanted = {0.0, 90.0, 180.0, 270.0}
    looks = {angle for part in assembly.parts for angle in _looks(part)}
    for contact in item.contacts[:1] if item.clamp else item.contacts:
        if float(np.hypot(contact.normal[0], contact.normal[1])) > SLOPING:
            own = math.degrees(math.atan2(contact.normal[1], contact.normal[0]))
            wanted |= {round((angle - own) % 360.0, 9) % 360.0 for angle in looks}
    return sorted(wanted)


def _looks(part: HeldPart) -> list[float]:
    """Return the level directions (degrees) in which a pad looks straight at a part: its upright faces, its round skin."""
    upright = [face.normal for face in part.faces if abs(float(face.normal[2])) < LEVEL and not part.curved(face)]
    found = [math.degrees(math.atan2(-normal[1], -normal[0])) for normal in upright]
    if part.part.section.round:
        axis = part.frame[:3, 2]
        if abs(float(axis[2])) < LEVEL:
            across = math.degrees(math.atan2(axis[0], -axis[1]))
            found += [across, across + 180.0]
        elif abs(float(axis[2])) > 1 - LEVEL:
            found += [45.0, 135.0, 225.0, 315.0]
    return found


def _within_height(stand: Stand, pad: Pad, face: Face) -> bool:
    """Return whether pad and face overlap in height at some setting; set to height in steps, a pad must hit a level face."""
    low = high = 0.0
    if stand.travel is not None and pad.moves and stand.travel[3] and abs(float(pad.normal[2] * stand.travel[0][2])) > 1 - LEVEL:
        steps = ((face.origin[2] - pad.at[2]) / stand.travel[0][2] - stand.travel[1]) / stand.travel[3]
        if abs(steps - round(steps)) * stand.travel[3] > SNUG:
            return False
    if stand.travel is not None and pad.moves:
        ends = (stand.travel[0][2] * stand.travel[1], stand.travel[0][2] * stand.travel[2])
        low, high = min(ends), max(ends)
    reach = pad.height / 2 * abs(float(pad.upward[2]))
    bottom, top = face.heights
    slack = SNUG if reach < SNUG else -min(LEAST_PATCH, reach) / 2
    return bool(pad.at[2] + low - reach <= top + slack and pad.at[2] + high + reach >= bottom - slack)


def bodies(candidates: Sequence[Candidate]) -> Hulls:
    """Return a few candidates' solids, clamps shut, owner = position in the list."""
    parts = []
    for index, candidate in enumerate(candidates):
        for hulls, at in (
            (candidate.stand.still, candidate.origin),
            (candidate.stand.moving, candidate.origin + candidate.travel),
        ):
            parts.append(hulls.shifted(at).owned(index))
    return joined(parts)
