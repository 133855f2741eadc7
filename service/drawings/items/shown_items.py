"""What is seen of items of the catalogue: their solids, pegs, pads and the ways of their tips, each item in its own frame."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from inventory.items import Contact, Item
from inventory.shapes import Point2, Point3, Prism
from inventory.tables import Table
from service.drawings.paper.marks import Box
from service.drawings.views.outlook import TOP, Outlook

_APART = 40.0
_ROW_SHARE = 1.6


@dataclass(frozen=True, slots=True)
class ShownItems:
    """Items that are drawn together.

    Parameters
    ----------
    items : tuple of Item
        At least one.
    pitch : float or None
        Of the lattice their pegs go into, mm; None: no table says, and a peg that is not at the origin has no place.
    """

    items: tuple[Item, ...]
    pitch: float | None = None


def lattice_pitch(tables: Sequence[Table]) -> float | None:
    """Return the pitch that items are drawn at: that of the first table by id; None if there is none."""
    return min(tables, key=lambda table: table.id).pitch if tables else None


def peg_points(item: Item, pitch: float | None) -> tuple[Point2, ...]:
    """Return where an item's pegs go into the table, in its own frame, mm; without a pitch, of those at the origin."""
    return tuple((x * (pitch or 0.0), y * (pitch or 0.0)) for x, y in item.pegs if pitch is not None or (x, y) == (0, 0))


def pad_corners(contact: Contact) -> tuple[Point3, ...]:
    """Return the corners of a pad: width along z x normal (x if the normal is vertical), height along normal x width."""
    normal = np.array(contact.normal)
    level = np.cross((0.0, 0.0, 1.0), normal)
    long = float(np.linalg.norm(level))
    across = np.array((1.0, 0.0, 0.0)) if long < 1e-9 else level / long
    up = np.cross(normal, across)
    half = ((1, 1), (-1, 1), (-1, -1), (1, -1))
    corners = (np.array(contact.at) + a * contact.width / 2 * across + b * contact.height / 2 * up for a, b in half)
    return tuple((float(x), float(y), float(z)) for x, y, z in corners)


def solid_names(item: Item) -> tuple[str, ...]:
    """Return what an item's solids are called, in their order: ``adj-25 solid 2, moves``."""
    return tuple(f"{item.id} solid {number}{', moves' if one.moves else ''}" for number, one in enumerate(item.solids, 1))


def seen_box(item: Item, outlook: Outlook, pitch: float | None) -> Box:
    """Return the box around all that is seen of an item from somewhere, mm; its bottom is the greater height."""
    points = [*_solid_corners(item, outlook)]
    points += [outlook.seen((x, y, 0.0)) for x, y in peg_points(item, pitch)]
    points += [outlook.seen(corner) for contact in item.contacts for corner in pad_corners(contact)]
    points += [outlook.seen(end) for end in (item.clamp.reach if item.clamp else ())]
    return Box.around(points)


def laid_out(shown: ShownItems) -> Iterator[tuple[Item, Point2]]:
    """Yield each item with where its origin lies when all of them lie beside each other in rows; one alone lies at (0, 0)."""
    if len(shown.items) == 1:
        yield shown.items[0], (0.0, 0.0)
        return
    boxes = [seen_box(item, TOP, shown.pitch) for item in shown.items]
    area = math.fsum((box.width + _APART) * (box.height + _APART) for box in boxes)
    widest = max(_ROW_SHARE * math.sqrt(area), *(box.width for box in boxes))
    left = top = deepest = 0.0
    for item, box in zip(shown.items, boxes, strict=True):
        if left > 0.0 and left + box.width > widest:
            left, top, deepest = 0.0, top - deepest - _APART, 0.0
        yield item, (left - box.left, top - box.bottom)
        left += box.width + _APART
        deepest = max(deepest, box.height)


def at_place(prism: Prism, place: Point2) -> Prism:
    """Return a solid of an item that lies elsewhere."""
    frame = np.eye(4)
    frame[:2, 3] = place
    return prism.placed(frame)


def _solid_corners(item: Item, outlook: Outlook) -> Iterator[Point2]:
    for solid in item.solids:
        x0, y0, x1, y1 = outlook.shape(solid.prism).box
        yield from ((x0, y0), (x1, y1))
