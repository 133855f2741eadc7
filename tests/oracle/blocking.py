"""What offers shut: torch directions at the samples of the welds, and the straight ways in and out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from inventory.shapes import Array
from inventory.tables import Table
from tests.oracle.boxes import depths, gaps, shifted, swept
from tests.oracle.laying import Lying
from tests.oracle.offers import SKIN, Offer

FAR = 5000.0
AT_ONCE = 20000
"""Torches and boxes compared at once."""
SLIDES = (0.0, 110.0, 230.0)

Way = tuple[Array, ...]
"""Moves from the final place outwards."""


def ways(lift: float) -> tuple[Way, ...]:
    """Return the ways tried: straight up, and a slide along an axis before it."""
    up = np.array([0.0, 0.0, lift])
    found: list[Way] = [(up,)]
    for far in SLIDES[1:]:
        for x, y in ((1, 0), (-1, 0), (0, 1), (0, -1)):
            found.append((far * np.array([x, y, 0.0]), up))
    return tuple(found)


@dataclass(frozen=True)
class Torches:
    """All torch directions at all samples that parts and table leave free: sample index, direction, spheres of torch and hand."""

    sample: Array
    directions: Array
    centres: Array
    radii: Array
    boxes: Array


def torches_of(lying: Lying) -> Torches | None:
    """Return the free torch directions; None if some sample has none."""
    rules = lying.request.rules
    steps: list[tuple[float, float]] = []
    for diameter, start, length in (
        (rules["torch.nozzle_diameter"], rules["torch.stickout"], rules["torch.length"]),
        (rules["torch.hand_diameter"], rules["torch.stickout"] + rules["torch.hand_from"], rules["torch.hand_length"]),
    ):
        radius = diameter / 2
        first, last = start + radius, max(start + radius, start + length - radius)
        count = int(np.ceil((last - first) / (radius * 0.6))) + 1
        step = (last - first) / max(1, count - 1)
        steps += [(float(far), float(np.hypot(radius, step / 2))) for far in np.linspace(first, last, count)]
    far, radii = np.array(steps).T
    index, directions, centres = [], [], []
    for k, sample in enumerate(lying.samples):
        for torch in sample.torches:
            index.append(k)
            directions.append(torch)
            centres.append(sample.at - far[:, None] * torch)
    if not lying.samples:
        return Torches(np.zeros(0, int), np.zeros((0, 3)), np.zeros((0, len(far), 3)), radii, np.zeros((0, 6)))
    if not index:
        return None
    slab = np.array([-FAR, -FAR, -FAR, FAR, FAR, 0.0])
    spheres = np.array(centres)
    boxes = np.column_stack([(spheres - radii[:, None]).min(axis=1), (spheres + radii[:, None]).max(axis=1)])
    free = ~_strikes(spheres, radii, boxes, np.vstack([lying.boxes, slab])).any(axis=1)
    sample_of = np.array(index)[free]
    if len(set(sample_of.tolist())) < len(lying.samples):
        return None
    return Torches(sample_of, np.array(directions)[free], spheres[free], radii, boxes[free])


def _strikes(spheres: Array, radii: Array, around: Array, boxes: Array) -> NDArray[np.bool_]:
    """Return which torch (t, n) strikes which box."""
    found: NDArray[np.bool_] = gaps(around, boxes) <= 0
    t, n = np.nonzero(found)
    for first in range(0, len(t), AT_ONCE):
        some = slice(first, first + AT_ONCE)
        points, targets = spheres[t[some]], boxes[n[some]]
        away = np.maximum(targets[:, None, :3] - points, points - targets[:, None, 3:])
        hit = (np.linalg.norm(np.maximum(away, 0.0), axis=2) < radii).any(axis=1)
        found[t[some], n[some]] = hit
    return found


def block(lying: Lying, torches: Torches, offers: Sequence[Offer], all_ways: Sequence[Way]) -> None:
    """Note at each offer which torch directions it shuts, and which ways (part, way) it stands in."""
    if not offers:
        return
    owner = np.concatenate([np.full(len(offer.shut), k) for k, offer in enumerate(offers)])
    hits = np.zeros((len(offers), len(torches.sample)), bool)
    if len(torches.sample):
        strikes = _strikes(torches.centres, torches.radii, torches.boxes, np.concatenate([offer.shut for offer in offers]))
        np.logical_or.at(hits, owner, strikes.T)
    owner = np.concatenate(
        [np.full(len(offer.opened if offer.stack.clamps else offer.shut), k) for k, offer in enumerate(offers)]
    )
    boxes = np.concatenate([offer.opened if offer.stack.clamps else offer.shut for offer in offers])
    shut = np.zeros((len(offers), len(lying.parts), len(all_ways)), bool)
    clear = lying.request.rules["way.clear"]
    for part in lying.parts:
        touches = np.array([any(contact.part == part.index for contact in offer.contacts) for offer in offers])
        for k, way in enumerate(all_ways):
            path = travelled(part.box, way)
            near, deep = (gaps(path, boxes) < clear).any(axis=0), (depths(path, boxes) > SKIN).any(axis=0)
            np.logical_or.at(shut[:, part.index, k], owner, np.where(touches[owner], deep, near))
    for k, offer in enumerate(offers):
        offer.torches, offer.ways = hits[k], shut[k]


def travelled(box: Array, way: Way) -> Array:
    """Return the boxes (moves, 6) a box passes through on a way."""
    found, at = [], box[None]
    for move in way:
        found.append(swept(at, move)[0])
        at = shifted(at, move)
    return np.array(found)


def passes(lying: Lying, mover: int, staying: int, way: Way) -> bool:
    """Return whether a part can go a way past another that stays in its final place."""
    clear = lying.request.rules["way.clear"]
    one, other = lying.parts[mover].box, lying.parts[staying].box[None]
    path = travelled(one, way)
    if gaps(one[None], other).min() < clear:
        return bool((depths(path, other) <= SKIN).all())
    return bool((gaps(path, other) >= clear).all())


def over_slab(table: Table, shift: Array) -> Array:
    """Return the slab's box seen from the weldment's frame that stands at `shift` on the table."""
    return np.array([-shift[0], -shift[1], -table.thickness, table.size[0] - shift[0], table.size[1] - shift[1], 0.0])
