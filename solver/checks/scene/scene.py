"""One alternative set up from the documents alone: parts and pieces where they must stand, in the table frame.

Parts come from the request under `weldment_to_table`, pieces from the catalogue under hole, turn, stack and setting; the solids a
plan lists are compared with these and never used for anything else.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np

from inventory.items import Contact, Item
from inventory.shapes import Array, Prism, turned
from inventory.stock import StockSnapshot
from inventory.tables import Hole, Table, parse_hole
from solver.checks.arithmetic.blocks import Block
from solver.checks.arithmetic.vectors import cross
from solver.checks.arithmetic.weights import Inertia, inertia
from solver.checks.tolerances import ROUND_TOUCH
from solver.plans import Alternative, PlacedContact, PlacedPart, Placement
from solver.request import Request
from solver.rule_book.book import RuleBook
from solver.weldment import Part, Weld

UP = np.array([0.0, 0.0, 1.0])
OUTER_BODY = "body"
"""The section of a part that is given by a convex hull around it: it takes up room, and nothing of a fixture touches it."""


@dataclass(frozen=True)
class Pad:
    """A catalogue pad in the table frame: centre, normal into the part, level and upright half extents (vectors, mm)."""

    centre: Array
    normal: Array
    half_width: Array
    half_height: Array
    width: float
    height: float

    def excess(self, points: Array) -> float:
        """Return how far the farthest of points (k, 3) lies off the pad, in its plane or out of it, mm."""
        away = points - self.centre
        sides = []
        for half, length in ((self.half_width, self.width / 2), (self.half_height, self.height / 2)):
            unit = half / max(length, 1e-12)
            sides.append(np.abs(away @ unit).max() - length)
        return float(max(*sides, np.abs(away @ self.normal).max()))

    @property
    def corners(self) -> Array:
        """The four corners, (4, 3)."""
        w, h = self.half_width, self.half_height
        return np.array([self.centre - w - h, self.centre + w - h, self.centre + w + h, self.centre - w + h])


@dataclass(frozen=True)
class SetPart:
    """A part where the weldment puts it."""

    part: Part
    pose: Array
    block: Block
    inertia: Inertia
    listed: PlacedPart

    @property
    def id(self) -> str:
        """The part's id."""
        return self.part.id

    @property
    def round_allowance(self) -> float:
        """0.3 % of the diameter of a round section, mm; 0 for others."""
        return ROUND_TOUCH * (self.part.section.diameter or 0.0) if self.part.section.round else 0.0


@dataclass(frozen=True)
class SetPiece:
    """A piece where its hole or carrier puts it.

    `pegs` are lattice steps of the table (no carrier) or of the carrier; None where a peg misses the lattice.
    `repeatability_mm` adds up along the stack, `stiffness_n_per_mm` acts in series along it.
    """

    placement: Placement
    item: Item
    frame: Array
    pegs: tuple[Hole | None, ...]
    shut: tuple[Block, ...]
    opened: tuple[Block, ...]
    pads: tuple[Pad, ...]
    repeatability_mm: float
    stiffness_n_per_mm: float
    carriers: tuple[str, ...]

    @property
    def id(self) -> str:
        """The placement's id."""
        return self.placement.id

    @property
    def clamping(self) -> bool:
        """Whether the piece is a clamp."""
        return self.item.clamp is not None

    @cached_property
    def force(self) -> Array:
        """Unit push of a clamp in the table frame."""
        assert self.item.clamp is not None
        push: Array = self.frame[:3, :3] @ np.array(self.item.clamp.direction)
        return push

    @property
    def locating(self) -> tuple[PlacedContact, ...]:
        """Contacts by which the piece locates: those with parts it says it locates."""
        parts = {part for part, _ in self.placement.locates}
        return tuple(contact for contact in self.placement.contacts if contact.part in parts)


@dataclass(frozen=True)
class Scene:
    """Everything the checks of one alternative look at.

    `parts` are those that are located, clamped and held; `bodies` are outer bodies, which only take up room.
    """

    request: Request
    stock: StockSnapshot
    rules: RuleBook
    table: Table
    answer: Alternative
    place: Array
    parts: Mapping[str, SetPart]
    pieces: Mapping[str, SetPiece]
    neighbours: Mapping[str, tuple[Block, ...]] = field(default_factory=dict)
    """Bodies of other stations on the table."""
    bodies: Mapping[str, SetPart] = field(default_factory=dict)
    """Outer bodies by id: convex hulls around parts that are no profiles."""
    runs: tuple[Scene, ...] = ()
    """The scenes of the variants that run on the same set-up after this weldment, in order."""

    @cached_property
    def all_parts(self) -> Mapping[str, SetPart]:
        """Parts and outer bodies by id: all that takes up room and is loaded by hand."""
        return {**self.parts, **self.bodies}

    @cached_property
    def welds(self) -> tuple[Weld, ...]:
        """The welds between parts; one that joins an outer body is made elsewhere, and where it joins it is not known."""
        return tuple(weld for weld in self.request.weldment.welds if all(id in self.parts for id in weld.parts))

    @cached_property
    def slab(self) -> Block:
        """The table's plate."""
        (x, y), t = self.table.size, self.table.thickness
        return Block.of(Prism(((0.0, 0.0), (x, 0.0), (x, y), (0.0, y)), -t, 0.0))

    @cached_property
    def slab_outline(self) -> Array:
        """The plate's outline, counter-clockwise."""
        x, y = self.table.size
        return np.array([[0.0, 0.0], [x, 0.0], [x, y], [0.0, y]])

    def path(self, weld: Weld) -> Array:
        """Return a weld's path in the table frame, (k, 3)."""
        return self.points(weld.path)

    def points(self, points: object) -> Array:
        """Return points of the weldment in the table frame."""
        return np.asarray(points, dtype=float) @ self.place[:3, :3].T + self.place[:3, 3]

    def vector(self, vector: object) -> Array:
        """Return a direction of the weldment in the table frame."""
        turned_vector: Array = self.place[:3, :3] @ np.asarray(vector, dtype=float)
        return turned_vector


def set_scene(request: Request, stock: StockSnapshot, rules: RuleBook, answer: Alternative) -> Scene:
    """Return the scene of an alternative whose ids, table, items, holes and stacks are known to be in order."""
    place, table = np.array(answer.weldment_to_table), stock.tables[answer.table]
    listed = {part.id: part for part in answer.parts}
    parts: dict[str, SetPart] = {}
    bodies: dict[str, SetPart] = {}
    for part in request.weldment.parts:
        pose = place @ part.pose.frame()
        prism = Prism(part.section.outline, 0.0, part.length, part.section.cutouts, cuts=part.cuts)
        (bodies if part.section.shape == OUTER_BODY else parts)[part.id] = SetPart(
            part, pose, Block.of(prism, pose), inertia(part, pose, rules), listed[part.id]
        )
    pieces: dict[str, SetPiece] = {}
    waiting = list(answer.placements)
    while waiting:
        placement = waiting.pop(0)
        if placement.stands_on is not None and placement.stands_on not in pieces:
            waiting.append(placement)
            continue
        carrier = pieces[placement.stands_on] if placement.stands_on is not None else None
        pieces[placement.id] = _set_piece(placement, stock.items[placement.item], carrier, table)
    ordered = {placement.id: pieces[placement.id] for placement in answer.placements}
    return Scene(request, stock, rules, table, answer, place, parts, ordered, bodies=bodies)


def _set_piece(placement: Placement, item: Item, carrier: SetPiece | None, table: Table) -> SetPiece:
    if carrier is None:
        column, row = parse_hole(placement.hole or "A1")
        frame = turned(placement.turn, (table.first[0] + table.pitch * column, table.first[1] + table.pitch * row, 0.0))
        pegs = pegs_on_table(placement, item.pegs)
    else:
        frame, pegs = _on_carrier(placement, item, carrier, table.pitch)
    shift = _shift(placement, item)
    moved = np.eye(4)
    moved[:3, 3] = shift
    shut = tuple(Block.of(solid.prism, frame @ moved if solid.moves else frame) for solid in item.solids)
    opened = shut
    if item.clamp is not None and item.clamp.open_solids is not None:
        opened = tuple(Block.of(prism, frame) for prism in item.clamp.open_solids)
    pads = tuple(_pad(contact, frame, shift if contact.moves else np.zeros(3)) for contact in item.contacts)
    stiffness, repeatability = item.stiffness_n_per_mm, item.repeatability_mm
    carriers: tuple[str, ...] = ()
    if carrier is not None:
        repeatability += carrier.repeatability_mm
        stiffness = 1.0 / (1.0 / stiffness + 1.0 / carrier.stiffness_n_per_mm)
        carriers = (*carrier.carriers, carrier.id)
    return SetPiece(placement, item, frame, pegs, shut, opened, pads, repeatability, stiffness, carriers)


def _shift(placement: Placement, item: Item) -> Array:
    """Return how far the moving solids and pads shift, item frame."""
    setting = placement.setting_mm or 0.0
    if item.slide is not None:
        return setting * np.array(item.slide.along)
    if item.clamp is not None:
        reach = np.array(item.clamp.reach[1]) - np.array(item.clamp.reach[0])
        length = float(np.linalg.norm(reach))
        return setting * reach / length if length > 0 else np.zeros(3)
    return np.zeros(3)


def pegs_on_table(placement: Placement, pegs: Sequence[Hole]) -> tuple[Hole | None, ...]:
    """Return the holes that a piece's pegs take on a table, None for one that misses the lattice."""
    origin = parse_hole(placement.hole or "A1")
    return tuple(_lattice(peg, placement.turn, origin) for peg in pegs)


def _lattice(peg: tuple[int, int], turn: float, origin: tuple[float, float]) -> Hole | None:
    """Return where a turned peg falls on a lattice, or None if it misses it."""
    frame = turned(turn)
    x, y = frame[:2, :2] @ np.array(peg, dtype=float) + np.array(origin)
    near = (round(float(x)), round(float(y)))
    return near if abs(x - near[0]) < 1e-3 and abs(y - near[1]) < 1e-3 else None


def _on_carrier(placement: Placement, item: Item, carrier: SetPiece, pitch: float) -> tuple[Array, tuple[Hole | None, ...]]:
    """Return the frame of a piece on a carrier and its pegs in the carrier's lattice.

    The document names no carrier peg: of all places where the pegs fit, the one nearest the listed solids is meant.
    """
    carries = carrier.item.carries
    assert carries is not None
    relative = placement.turn - carrier.placement.turn
    offsets = [_lattice(peg, relative, (0.0, 0.0)) for peg in item.pegs]
    offered = set(carries.pegs)
    first = next((offset for offset in offsets if offset is not None), (0, 0))
    places = [(peg[0] - first[0], peg[1] - first[1]) for peg in carries.pegs]
    fitting = [q for q in places if all(o is not None and (q[0] + o[0], q[1] + o[1]) in offered for o in offsets)]
    frames = []
    for q in fitting or places or [(0, 0)]:
        at = carrier.frame @ np.array([pitch * q[0], pitch * q[1], carries.height, 1.0])
        frames.append((turned(placement.turn, (float(at[0]), float(at[1]), float(at[2]))), q))
    frame, q = min(frames, key=lambda entry: _misfit(entry[0], placement, item))
    return frame, tuple(None if o is None else (q[0] + o[0], q[1] + o[1]) for o in offsets)


def _misfit(frame: Array, placement: Placement, item: Item) -> float:
    """Return how far the first listed solid lies from where `frame` would put the catalogue's."""
    if not placement.solids or not item.solids:
        return 0.0
    listed = Block.of(placement.solids[0]).corners.mean(axis=0)
    still = next((solid for solid in item.solids if not solid.moves), item.solids[0])
    return float(np.linalg.norm(listed - Block.of(still.prism, frame).corners.mean(axis=0)))


def _pad(contact: Contact, frame: Array, shift: Array) -> Pad:
    normal = np.array(contact.normal)
    level = cross(UP, normal)
    if np.linalg.norm(level) < 1e-6:
        level = np.array([1.0, 0.0, 0.0])
    level = level / np.linalg.norm(level)
    upright = cross(normal, level)
    turn = frame[:3, :3]
    centre = turn @ (np.array(contact.at) + shift) + frame[:3, 3]
    return Pad(
        centre,
        turn @ normal,
        turn @ level * contact.width / 2,
        turn @ upright * contact.height / 2,
        contact.width,
        contact.height,
    )
