"""Stacks: a piece, or a piece on risers and arms, turned, with its solids and pads."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from functools import cached_property, lru_cache

import numpy as np

from inventory.items import Item
from inventory.shapes import Array, turned
from solver.deadline import look
from solver.geometry.faces import pad_axes
from solver.geometry.hulls import Hulls, joined
from solver.geometry.inner_boxes import inner_boxes
from solver.geometry.proximity import near
from solver.geometry.solids import pieces_of
from solver.hardware.travel import Travel
from solver.ledgers.content import content_of
from solver.standards.stiffness import series_n_per_mm

THREAD = 0.01
"""A tip this near to a body touches it, mm."""


@dataclass(frozen=True)
class Pad:
    """A contact of a stack, seen from the hole under its lowest piece: centre, normal, sides (unit), sizes, whether it moves."""

    at: Array
    normal: Array
    across: Array
    upward: Array
    width: float
    height: float
    moves: bool


@dataclass(frozen=True)
class Level:
    """One piece of a stack: its item, absolute turn and frame (4x4) seen from the stack's hole."""

    item: Item
    turn: float
    frame: Array

    @property
    def at_rest(self) -> Array:
        """How far its moving solids stand from setting 0 at its least setting, item frame (3,)."""
        slide = self.item.slide
        return np.zeros(3) if slide is None else slide.low * np.array(slide.along)

    @property
    def carries_at(self) -> float:
        """How high above its own foot it carries another piece, mm; 0 if it carries none."""
        return 0.0 if self.item.carries is None else self.item.carries.height


@dataclass(frozen=True)
class Stack:
    """One way to stand pieces on each other: levels from the table up; the last one touches the part.

    `pegs` are the lattice steps its lowest piece occupies. Everything is seen from the hole of the lowest piece.
    """

    levels: tuple[Level, ...]
    pegs: tuple[tuple[int, int], ...]

    @property
    def top(self) -> Item:
        """The piece that touches the part."""
        return self.levels[-1].item

    def without_top(self) -> Stack:
        """Return what stands under the piece that touches the part."""
        return replace(self, levels=self.levels[:-1])

    @property
    def pullable(self) -> bool:
        """Whether its top piece may be pulled each cycle: `removable`, or it locates nothing and pulling it has its time."""
        return self.top.removable or (self.top.clamp is not None and self.top.pull_s > 0)

    @property
    def turn(self) -> float:
        """Absolute turn of the top piece, degrees."""
        return self.levels[-1].turn

    @cached_property
    def pieces(self) -> Counter[str]:
        """How many pieces of each item it takes."""
        return Counter(level.item.id for level in self.levels)

    @cached_property
    def pads(self) -> tuple[Pad, ...]:
        """The top piece's contacts."""
        frame = self.levels[-1].frame
        contacts = self.top.contacts[:1] if self.top.clamp else self.top.contacts
        pads = []
        for contact in contacts:
            normal = np.array(contact.normal)
            across, upward = pad_axes(normal)
            turn, move = frame[:3, :3], frame[:3, 3]
            moves = contact.moves or self.top.clamp is not None
            at = turn @ np.array(contact.at) + move
            pads.append(Pad(at, turn @ normal, turn @ across, turn @ upward, contact.width, contact.height, moves))
        return tuple(pads)

    @cached_property
    def travel(self) -> Travel | None:
        """How its pads or its clamp's tip move with the setting; None if nothing does."""
        turn = self.levels[-1].frame[:3, :3]
        if self.top.clamp:
            start, stop = np.array(self.top.clamp.reach[0]), np.array(self.top.clamp.reach[1])
            length = float(np.linalg.norm(stop - start))
            if length < 1e-9:
                return None
            return Travel(turn @ ((stop - start) / length), 0.0, length, 0.0)
        if self.top.slide:
            slide = self.top.slide
            return Travel(turn @ np.array(slide.along), slide.low, slide.high, slide.step)
        return None

    @property
    def offset(self) -> Array:
        """How far beside its hole (level, mm) the top piece stands: on an arm it does."""
        beside: Array = self.levels[-1].frame[:3, 3] * [1.0, 1.0, 0.0]
        return beside

    @cached_property
    def push(self) -> Array | None:
        """The clamp's push direction (unit), None for a locator."""
        return None if self.top.clamp is None else self.levels[-1].frame[:3, :3] @ np.array(self.top.clamp.direction)

    @property
    def tip_in_body(self) -> bool:
        """Whether the middle of its (first) pad touches what moves with it: a clamp's tip that is part of its body."""
        return _tip_in_body(self.top)

    @cached_property
    def still(self) -> Hulls:
        """Convex pieces that do not move with the setting; the owner is the level. What carries is at its least setting."""
        look()
        pieces, owners = [], []
        for index, level in enumerate(self.levels):
            top, rest = level is self.levels[-1], level.frame[:3, :3] @ level.at_rest
            for solid in level.item.solids:
                if solid.moves and top:
                    continue
                found = pieces_of(solid.prism.placed(level.frame))
                pieces += [piece + rest for piece in found] if solid.moves else found
                owners += [index] * len(found)
        return Hulls.of(pieces, owners)

    @cached_property
    def carrying(self) -> Hulls:
        """Convex pieces of what carries the top piece."""
        return self.still.take(self.still.owner < len(self.levels) - 1)

    @cached_property
    def moving(self) -> Hulls:
        """Convex pieces that move with the setting, at setting 0."""
        frame = self.levels[-1].frame
        pieces = [piece for solid in self.top.solids if solid.moves for piece in pieces_of(solid.prism.placed(frame))]
        return Hulls.of(pieces, [len(self.levels) - 1] * len(pieces))

    @cached_property
    def inner_boxes(self) -> tuple[Array, Array]:
        """Boxes within `still` and `opened`, and within `moving`, (k, 2, 3) each."""
        return inner_boxes(joined([self.still, self.opened]))[0], inner_boxes(self.moving)[0]

    @cached_property
    def opened(self) -> Hulls:
        """Convex pieces of the whole stack with its clamp open (a locator: none, it has no other state)."""
        if self.top.clamp is None or self.top.clamp.open_solids is None:
            return Hulls.of([], [])
        frame = self.levels[-1].frame
        pieces = [piece for prism in self.top.clamp.open_solids for piece in pieces_of(prism.placed(frame))]
        last = len(self.levels) - 1
        return joined([self.still.take(self.still.owner < last), Hulls.of(pieces, [last] * len(pieces))])

    @cached_property
    def looks(self) -> bytes:
        """What stands for its bodies, whatever its pieces are called."""
        bodies = (self.still, self.moving, self.opened)
        return content_of(*(array for hulls in bodies for array in (hulls.points, hulls.count, hulls.owner)))

    @cached_property
    def content(self) -> bytes:
        """What stands for its bodies, its pads, how they move and how hard it presses, whatever its pieces are called."""
        pads = [(p.at, p.normal, p.across, p.upward, p.width, p.height, p.moves) for p in self.pads]
        travel, clamp = self.travel, self.top.clamp
        moved = None if travel is None else (travel.axis, travel.low, travel.high, travel.step)
        return content_of(self.looks, len(self.levels), pads, moved, None if clamp is None else clamp.force_n)

    @property
    def repeatability(self) -> float:
        """How far the contact may be off from one setting to the next, mm: the levels' figures add."""
        return sum(level.item.repeatability_mm for level in self.levels)

    @cached_property
    def mass_kg(self) -> float:
        """What all its pieces weigh, kg."""
        return sum(level.item.mass_kg for level in self.levels)

    @property
    def stiffness(self) -> float:
        """Stiffness of the stack at its contact, N/mm: springs in series."""
        return series_n_per_mm([level.item.stiffness_n_per_mm for level in self.levels])


def turns_of(item: Item, wanted: Iterable[float]) -> tuple[float, ...]:
    """Return the turns an item may stand at; an item that may stand at any turn stands at the wanted ones."""
    return tuple(item.turns) if item.turns != "any" else tuple(sorted({round(turn % 360.0, 9) for turn in wanted}))


def single(item: Item, turn: float) -> Stack:
    """Return the stack of one piece in a hole of the table."""
    return Stack((Level(item, turn, turned(turn)),), tuple(_rotated(peg, turn) for peg in item.pegs))


def stacked_on(item: Item, turn: float, under: Stack, pitch: float) -> list[Stack]:
    """Return `item` standing on the top piece of `under`, once for every place where all its pegs find theirs."""
    look()
    base, found = under.levels[-1], []
    for x, y in places_on(item, turn, base):
        at = base.frame[:3, 3] + np.array([pitch * x, pitch * y, base.carries_at])
        frame = turned(turn, (float(at[0]), float(at[1]), float(at[2])))
        found.append(replace(under, levels=(*under.levels, Level(item, turn, frame))))
    return found


def places_on(item: Item, turn: float, base: Level) -> list[tuple[int, int]]:
    """Return where on a piece (lattice steps from its hole) another can stand: where all its pegs find theirs."""
    if base.item.carries is None:
        return []
    offered = {_rotated(peg, base.turn) for peg in base.item.carries.pegs}
    needed = [_rotated(peg, turn) for peg in item.pegs]
    return [(x, y) for x, y in sorted(offered) if {(x + a, y + b) for a, b in needed} <= offered]


def carries_straight_up(item: Item) -> bool:
    """Return whether an item carries straight above itself (an arm carries only to the side)."""
    return item.carries is not None and (0, 0) in item.carries.pegs


def carriers(items: Sequence[Item], pitch: float, most: int) -> list[Stack]:
    """Return all stacks of straight carriers, up to `most` of them, shortest first.

    A carrier that looks the same and carries at the same place at every turn stands at one turn only.
    """
    risers = [item for item in items if carries_straight_up(item)]
    found: list[Stack] = []
    layer = [single(item, turn) for item in risers for turn in _distinct_turns(item)] if most else []
    for _ in range(most):
        found += layer
        ways = [(under, item, turn) for under in layer for item in risers for turn in _distinct_turns(item)]
        layer = [stack for under, item, turn in ways for stack in stacked_on(item, turn, under, pitch)]
    return found


def arms(items: Sequence[Item], pitch: float, most: int) -> list[Stack]:
    """Return every stack of up to `most` carriers that reaches to the side, at each turn: those on one arm on top first."""
    sideways = [
        (item, turn)
        for item in items
        if item.carries and not carries_straight_up(item)
        for turn in turns_of(item, (0.0, 90.0, 180.0, 270.0))
    ]
    straight = [(item, turn) for item in items if carries_straight_up(item) for turn in _distinct_turns(item)]
    found: list[Stack] = []
    bent: list[Stack] = [single(item, turn) for item, turn in sideways] if most else []
    upright: list[Stack] = [single(item, turn) for item, turn in straight]
    for _ in range(most):
        found += bent
        bent = [
            *(on for base in upright for item, turn in sideways for on in stacked_on(item, turn, base, pitch)),
            *(on for base in bent for item, turn in (*sideways, *straight) for on in stacked_on(item, turn, base, pitch)),
        ]
        upright = [on for base in upright for item, turn in straight for on in stacked_on(item, turn, base, pitch)]
    return sorted(found, key=lambda stack: not plain_arm(stack))


def plain_arm(stack: Stack) -> bool:
    """Return whether a stack is an arm on the table or on one straight carrier."""
    *below, top = stack.levels
    return not carries_straight_up(top.item) and all(carries_straight_up(level.item) for level in below) and len(below) < 2


def _distinct_turns(item: Item) -> tuple[float, ...]:
    turns = turns_of(item, (0.0,))
    alone = item.pegs == ((0, 0),) and item.carries is not None and item.carries.pegs == ((0, 0),)
    return turns[:1] if alone and _square_bodied(item) else turns


def _square_bodied(item: Item) -> bool:
    """Return whether a quarter turn leaves the item's solids where they are."""
    quarter = turned(90.0)[:3, :3]
    points = np.concatenate([piece for solid in item.solids for piece in pieces_of(solid.prism)])
    here = {tuple(np.round(point, 6) + 0.0) for point in points}
    return here == {tuple(np.round(quarter @ point, 6) + 0.0) for point in points}


@lru_cache(maxsize=1 << 10)
def _tip_in_body(item: Item) -> bool:
    """Return whether the middle of an item's first pad touches what moves with it, however it stands."""
    alone = single(item, 0.0)
    middle, body = Hulls.of([alone.pads[0].at[None, :]], [0]), alone.moving
    return bool(near(middle, np.zeros(len(body), dtype=np.intp), body, np.arange(len(body)), THREAD).any())


@lru_cache(maxsize=1 << 14)
def _rotated(peg: tuple[int, int], turn: float) -> tuple[int, int]:
    x, y = (turned(turn)[:2, :2] @ np.array(peg, dtype=float)).tolist()
    return round(x), round(y)
