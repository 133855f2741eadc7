"""Matches: the pads of stacks that can meet faces of the weldment somewhere, whatever the lattice under it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np

from inventory.items import Item
from solver.cost import PieceTimes
from solver.deadline import look
from solver.geometry.faces import Face
from solver.geometry.tolerances import BEARING_SLACK, LEVEL, PARALLEL, SLOPING, SNUG
from solver.hardware.arms import obstructed_faces, out_of_reach
from solver.hardware.stacks import Pad, Stack, arms, carriers, plain_arm, single, stacked_on, turns_of
from solver.hardware.travel import NO_TRAVEL, Travel
from solver.laying.laid_weldment import LaidPart, LaidWeldment
from solver.ledgers.content import content_of
from solver.rule_book.book import RuleBook

LEAST_PATCH = 3.0
"""A patch is at least this wide and high (mm), or as wide and high as the pad or the face is."""
HAIR = 1e-6


Facing = tuple[int, Face, float]
"""A stack's pad (index), a face it looks straight at, and the share of the lesser of the two that must bear."""


@dataclass(frozen=True)
class Match:
    """A pad that can meet a face somewhere: which stack, pad index, pad and face.

    `share`: of the lesser of pad and face so much must bear, along both directions of the pad.
    """

    stack: int
    pad_index: int
    pad: Pad
    face: Face
    share: float = 0.0

    @cached_property
    def content(self) -> bytes:
        """What stands for the pad among those of its stack, and for the face among those of the weldment as it lies."""
        return content_of(self.pad_index, self.face.part, self.face.label)

    def hole_at(self, axis: int) -> float | None:
        """Return where along an axis (0: x, 1: y) the hole must be to meet the face, mm; None if that depends on both."""
        normal = self.pad.normal
        if abs(float(normal[axis])) < SLOPING or abs(float(normal[1 - axis])) > LEVEL:
            return None
        return float(normal @ (self.face.origin - self.pad.at)) / float(normal[axis])


@dataclass
class Shelf:
    """What may stand, and every stack of it on a lattice of one pitch, made once."""

    items: Sequence[Item]
    pitch: float
    under: int
    """At most so many pieces stand under another."""
    prices: dict[tuple[str, ...], tuple[PieceTimes, float]] = field(default_factory=dict)
    """What pieces standing on each other add, and their price in cents, by their items from the table up; for one request."""
    _straight: dict[tuple[str, float], list[Stack]] = field(default_factory=dict)
    _reaching: dict[tuple[str, float], list[Stack]] = field(default_factory=dict)

    @cached_property
    def carriers(self) -> Sequence[Stack]:
        """What may stand straight under a piece."""
        return carriers(self.items, self.pitch, self.under)

    @cached_property
    def arms(self) -> Sequence[Stack]:
        """What may carry a piece to the side."""
        return arms(self.items, self.pitch, self.under)

    def straight(self, item: Item, turn: float) -> list[Stack]:
        """Return every stack with this item on top at this turn straight above its hole, the item alone first."""
        key = item.id, turn
        if key not in self._straight:
            self._straight[key] = [single(item, turn), *self._standing_on(item, turn, self.carriers)]
        return self._straight[key]

    def reaching(self, item: Item, turn: float) -> list[Stack]:
        """Return every stack with this item on top at this turn on an arm, plain ones first."""
        key = item.id, turn
        if key not in self._reaching:
            self._reaching[key] = self._standing_on(item, turn, self.arms)
        return self._reaching[key]

    def _standing_on(self, item: Item, turn: float, beneath: Sequence[Stack]) -> list[Stack]:
        return [on for carrier in beneath for on in stacked_on(item, turn, carrier, self.pitch)]


def matches(
    shelf: Shelf, laid: LaidWeldment, *, every_arm: bool = False, any_height: bool = False
) -> tuple[list[Stack], list[Match]]:
    """Return the stacks that can meet the weldment somewhere, and every pad and face of theirs that can meet.

    A piece stands alone or on carriers wherever that brings a pad to the height of a face that is not covered. It stands on an
    arm to meet an upright face that another part lies in front of, or a level one that it reaches from no hole beside the
    parts; with `every_arm` wherever the height is right. With `any_height`, for floors, heights are not asked about: a piece
    alone meets what it would meet on others, and costs less.
    """
    reaching = bool(shelf.arms) and not any_height
    faces = [face for part in laid.parts for face in part.faces] if reaching else []
    hindered = obstructed_faces(laid) if reaching else frozenset()
    hidden = frozenset((f.part, f.label) for part in laid.parts for f in part.faces if part.covered(f, laid.touches))
    stacks: list[Stack] = []
    found: list[Match] = []

    def add(stack: Stack, pads: Sequence[Facing]) -> None:
        hits = [(k, face, share) for k, face, share in pads if any_height or _within_height(stack, stack.pads[k], face, share)]
        found.extend(Match(len(stacks), k, stack.pads[k], face, share) for k, face, share in hits)
        stacks.extend([stack] if hits else [])

    for item in shelf.items:
        if not item.contacts:
            continue
        turns = turns_of(item, _wanted_turns(item, laid))
        alone = [shelf.straight(item, turn)[0] for turn in turns] if reaching else []
        over = hindered | frozenset((f.part, f.label) for f in faces if out_of_reach(f, alone, laid))
        for turn in turns:
            straight = shelf.straight(item, turn)[: 1 if any_height else None]
            look()
            pads = _facing_pads(straight[0], laid, hidden)
            for stack in straight if pads else ():
                look()
                add(stack, pads)
            beyond = [entry for entry in pads if every_arm or (entry[1].part, entry[1].label) in over]
            for stack in shelf.reaching(item, turn) if reaching and beyond else ():
                look()
                own = straight[0].pads
                if not every_arm and not plain_arm(stack.without_top()):
                    break
                add(stack, beyond if every_arm else [entry for entry in beyond if _reaches_out(stack, own[entry[0]], entry[1])])
    return stacks, found


def _reaches_out(stack: Stack, pad: Pad, face: Face) -> bool:
    """Return whether an arm takes a piece the way it has to reach: towards an upright face, or on the way to its own pad."""
    level = abs(float(face.normal[2])) > LEVEL
    towards = pad.at * [1.0, 1.0, 0.0] if level else -face.normal
    return (level and float(np.hypot(*towards[:2])) < LEVEL) or float(stack.offset @ towards) > LEVEL


def _facing_pads(stack: Stack, laid: LaidWeldment, hidden: frozenset[tuple[int, str]]) -> list[Facing]:
    """Return the stack's pads and the faces, for locators tips too, that they look straight at, whatever their height."""
    tips = stack.push is None and laid.rules["locate.together"] >= 1
    return [
        (index, face, _bearing_share(laid.rules, stack, pad, face))
        for index, pad in enumerate(stack.pads)
        for part in laid.parts
        for face in (*part.faces_towards(pad.normal), *(part.tips_towards(pad.normal) if tips else ()))
        if (face.part, face.label) not in hidden
    ]


def _wanted_turns(item: Item, laid: LaidWeldment) -> list[float]:
    """Return the turns at which a piece that may stand at any turn looks straight at some upright face or round part."""
    wanted = {0.0, 90.0, 180.0, 270.0}
    looks = {angle for part in laid.parts for angle in _looks(part)}
    for contact in item.contacts[:1] if item.clamp else item.contacts:
        if float(np.hypot(contact.normal[0], contact.normal[1])) > SLOPING:
            own = math.degrees(math.atan2(contact.normal[1], contact.normal[0]))
            wanted |= {round((angle - own) % 360.0, 9) % 360.0 for angle in looks}
    return sorted(wanted)


def _looks(part: LaidPart) -> list[float]:
    """Return the level directions (degrees) in which a pad looks straight at a part: its upright faces, its round skin."""
    upright = [face.normal for face in part.faces if abs(float(face.normal[2])) < LEVEL and not part.curved(face)]
    found = [math.degrees(math.atan2(-normal[1], -normal[0])) for normal in upright]
    if part.part.section.round:
        axis = part.frame[:3, 2]
        if abs(float(axis[2])) < LEVEL:
            across = math.degrees(math.atan2(axis[0], -axis[1]))
            found += [across, across + 180.0]
        elif abs(float(axis[2])) > 1 - PARALLEL:
            found += [45.0, 135.0, 225.0, 315.0]
    return found


def _bearing_share(rules: RuleBook, stack: Stack, pad: Pad, face: Face) -> float:
    """Return the share of the lesser of pad and face that must bear; none in holes, on V-blocks' flanks and round skins."""
    if face.label.startswith("cutout:") or face.shape.geom_type == "LineString":
        return 0.0
    if stack.push is not None:
        return rules["clamp.pad_share"]
    return 0.0 if LEVEL < abs(float(pad.normal[2])) < 1 - PARALLEL else rules["locate.pad_share"]


def _within_height(stack: Stack, pad: Pad, face: Face, share: float) -> bool:
    """Return whether pad and face overlap enough in height at some setting; set in steps, a pad must hit a level face."""
    travel = _travel(stack, pad)
    rise = float(travel.axis[2])
    if abs(float(pad.normal[2]) * rise) > 1 - PARALLEL:
        wanted = float(face.origin[2] - pad.at[2]) / rise
        if abs(travel.nearest(wanted) - wanted) > SNUG:
            return False
    low, high, bottom, top = _heights(pad, travel, face, share)
    return low <= top and high >= bottom


def height_range(stack: Stack, pad: Pad, face: Face, share: float) -> tuple[float, float]:
    """Return how much higher a stack may stand, least and most (mm), for a pad to overlap a face in height at some setting."""
    low, high, bottom, top = _heights(pad, _travel(stack, pad), face, share)
    return bottom - high, top - low


def _travel(stack: Stack, pad: Pad) -> Travel:
    return stack.travel if stack.travel is not None and pad.moves else NO_TRAVEL


def _heights(pad: Pad, travel: Travel, face: Face, share: float) -> tuple[float, float, float, float]:
    """Return from where to where a pad reaches upright at any setting, and where it must reach to meet a face, mm."""
    low, high = sorted((float(travel.axis[2]) * travel.low, float(travel.axis[2]) * travel.high))
    reach = pad.height / 2 * abs(float(pad.upward[2]))
    bottom, top = face.heights
    least = _least_height(pad, face, share)
    slack = SNUG if reach < SNUG else -least
    return float(pad.at[2] + low - reach), float(pad.at[2] + high + reach), bottom - slack, top + slack


def _least_height(pad: Pad, face: Face, share: float) -> float:
    """Return how high a patch of a pad on a face must be at least, mm; of slanted, round and hollow ones less is told."""
    bottom, top = face.heights
    rise = abs(float(pad.upward[2]))
    bearing = share * min(pad.height * rise, top - bottom) - BEARING_SLACK
    upright = abs(float(pad.normal[2])) < LEVEL and rise > 1 - PARALLEL
    if not upright or face.rectangle is None:
        least = LEAST_PATCH if face.wall is None else min(LEAST_PATCH, face.wall)
        return max(bearing, min(least, pad.height / 2 * rise) / 2)
    return max(bearing, min(LEAST_PATCH, 0.9 * pad.height, 0.9 * (top - bottom)) - HAIR)
