"""Everything that may stand on a hole, by plain arithmetic: a piece alone, on one or two risers, on an arm, on an arm on a riser.

A stack is seen from its lowest piece's hole; its boxes and pads shift with the setting of its top piece.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import product

import numpy as np

from inventory.items import Contact, Item
from inventory.shapes import Array, turned
from inventory.stock import StockSnapshot
from solver.request import Request
from tests.oracle.boxes import box_of

QUARTERS = (0.0, 90.0, 180.0, 270.0)


@dataclass(frozen=True)
class Level:
    """A piece of a stack: its item, its turn, and its frame (4x4) seen from the stack's hole."""

    item: Item
    turn: float
    frame: Array


@dataclass(frozen=True)
class Pad:
    """A pad at setting 0: the axis and sense of its normal, and its flat box (6,)."""

    axis: int
    sense: int
    box: Array
    moves: bool


@dataclass(frozen=True)
class Stack:
    """A stack at setting 0; `path` (3,) is what moves shift by for each mm of setting, `settings` the range and step."""

    levels: tuple[Level, ...]
    still: Array
    moving: Array
    opened: Array
    pads: tuple[Pad, ...]
    path: Array
    settings: tuple[float, float, float] | None
    holes: tuple[tuple[int, int], ...]

    @property
    def top(self) -> Item:
        """The piece that touches parts."""
        return self.levels[-1].item

    @property
    def clamps(self) -> bool:
        """Whether it clamps."""
        return self.top.clamp is not None

    @property
    def items(self) -> tuple[str, ...]:
        """The ids of its pieces, the lowest first."""
        return tuple(level.item.id for level in self.levels)

    def shut(self, setting: float) -> Array:
        """Return its boxes at a setting."""
        shift = self.path * setting
        return np.concatenate([self.still, self.moving + np.concatenate([shift, shift])])


def stacks_of(request: Request, stock: StockSnapshot) -> list[Stack]:
    """Return all stacks of items that are free, at all turns, on tables of one pitch."""
    pitch = stock.tables[request.tables[0]].pitch
    free = {id: stock.free(id) - request.without.items.get(id, 0) for id in stock.items}
    items = [item for id, item in sorted(stock.items.items()) if free[id] > 0 or request.shortage == "price"]
    carriers = [item for item in items if item.carries is not None]
    single = [item for item in carriers if len(item.carries.pegs) == 1 and item.carries.pegs[0] == (0, 0)]  # type: ignore[union-attr]
    below: list[tuple[Item, ...]] = [(), *((c,) for c in carriers), *product(single, carriers)]
    found = []
    for top in items:
        if not top.contacts:
            continue
        for under in below:
            names = [item.id for item in (*under, top)]
            if any(names.count(id) > free[id] for id in names) and request.shortage == "refuse":
                continue
            found += list(_turned(under, top, pitch))
    return found


def _turns(item: Item) -> tuple[float, ...]:
    return QUARTERS if isinstance(item.turns, str) else tuple(turn for turn in item.turns if turn in QUARTERS)


def _turned(under: tuple[Item, ...], top: Item, pitch: float) -> Iterator[Stack]:
    """Yield a stack at every turn of its top and of the arms under it; risers stand as they come."""
    below = [_turns(item)[:1] if item.carries is not None and item.carries.pegs == ((0, 0),) else _turns(item) for item in under]
    for turns in product(*below, _turns(top)):
        levels: list[Level] = []
        at, fits = np.zeros(3), True
        for item, turn in zip((*under, top), turns, strict=True):
            if levels:
                carrier = levels[-1]
                carries = carrier.item.carries
                assert carries is not None
                if len(item.pegs) > 1:
                    fits = False
                    break
                peg = carries.pegs[0]
                at = (carrier.frame @ np.array([pitch * peg[0], pitch * peg[1], carries.height, 1.0]))[:3]
            levels.append(Level(item, turn, turned(turn, (float(at[0]), float(at[1]), float(at[2])))))
        if fits:
            yield _stack(tuple(levels))


def _stack(levels: tuple[Level, ...]) -> Stack:
    frame, item = levels[-1].frame, levels[-1].item
    carried = [box_of(solid.prism, level.frame) for level in levels[:-1] for solid in level.item.solids]
    still = [*carried, *(box_of(solid.prism, frame) for solid in item.solids if not solid.moves)]
    moving = [box_of(solid.prism, frame) for solid in item.solids if solid.moves]
    opened = [*still, *moving]
    path, settings = np.zeros(3), None
    if item.slide is not None:
        path = frame[:3, :3] @ np.array(item.slide.along)
        settings = (item.slide.low, item.slide.high, item.slide.step)
    if item.clamp is not None:
        reach = np.array(item.clamp.reach[1]) - np.array(item.clamp.reach[0])
        length = float(np.linalg.norm(reach))
        path = frame[:3, :3] @ (reach / max(length, 1e-12))
        settings = (0.0, length, 0.0) if length > 0 else None
        if item.clamp.open_solids is not None:
            opened = [*carried, *(box_of(prism, frame) for prism in item.clamp.open_solids)]
    base = levels[0]
    turn = base.frame[:2, :2]
    holes = tuple((round(float(x)), round(float(y))) for x, y in (turn @ np.array(peg, dtype=float) for peg in base.item.pegs))
    pads = item.contacts[:1] if item.clamp is not None else item.contacts
    return Stack(
        levels,
        np.array(still).reshape(-1, 6),
        np.array(moving).reshape(-1, 6),
        np.array(opened).reshape(-1, 6),
        tuple(pad for contact in pads if (pad := _pad(contact, frame)) is not None),
        path,
        settings,
        holes,
    )


def _pad(contact: Contact, frame: Array) -> Pad | None:
    """Return a pad that faces along an axis, None for others."""
    normal = np.array(contact.normal)
    level = np.cross([0.0, 0.0, 1.0], normal)
    level = np.array([1.0, 0.0, 0.0]) if np.linalg.norm(level) < 1e-6 else level / np.linalg.norm(level)
    upright = np.cross(normal, level)
    half = np.abs(frame[:3, :3] @ level) * contact.width / 2 + np.abs(frame[:3, :3] @ upright) * contact.height / 2
    centre = (frame @ np.array([*contact.at, 1.0]))[:3]
    outward = frame[:3, :3] @ normal
    axis = int(np.abs(outward).argmax())
    if abs(outward[axis]) < 1 - 1e-6:
        return None
    half[axis] = 0.0
    return Pad(axis, 1 if outward[axis] > 0 else -1, np.concatenate([centre - half, centre + half]), contact.moves)
