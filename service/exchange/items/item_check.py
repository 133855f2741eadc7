"""A look at an item, whoever made it: do its pads lie on it, does it stand on the table, does its clamp reach, does it weigh.

From the item's own numbers alone: straight lines are run through its solids (`rays.py`), no face of theirs is asked for. What
the item's values refuse by themselves (solids below the table, a clamp without a pad) is not looked at again.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

import numpy as np

from inventory.items import KINDS, Contact, Item, Solid
from inventory.limits import plain
from inventory.shapes import Array, Prism, Ring
from service.exchange.items.marked_pads import axes_of
from service.exchange.items.rays import stretches
from solver.geometry.cut_solids import moments
from solver.standards.materials import MATERIALS
from solver.weldment import Material

Verdict = Literal["good", "told", "wrong"]
TOUCH = 0.05
"""A pad is on a face, and a piece on the table, within this, mm: what touches, in every document."""
SEARCHED = 200.0
"""So far along its normal a pad's solid is looked for, mm."""
INSET = 0.02
"""Corners of a pad are looked at so far inside of it, as a share of its size."""
ALIGNED = 5.0
"""A clamp pushes along its pad's normal within this, degrees."""
MASS_SHARE = 0.25
"""A stated mass is told of if it is farther than this from that of the solids: hollows and pegs are not drawn."""


@dataclass(frozen=True, slots=True)
class ItemFinding:
    """What was found of an item.

    Parameters
    ----------
    code : str
        What was looked at, for programs: ``pad.on_face``.
    subject : str
        Of what: ``pad 1``, ``solid 2``.
    text : str
        In words, with the numbers.
    verdict : {"good", "told", "wrong"}
        Whether it is as it must be, is odd but may be meant, or makes the item useless as it is.
    value, limit : float or None
        The number that was looked at and the one it is held against.
    """

    code: str
    subject: str
    text: str
    verdict: Verdict
    value: float | None = None
    limit: float | None = None


def item_findings(item: Item, material: Material = "steel", pitch: float | None = None) -> tuple[ItemFinding, ...]:
    """Return what there is to be said of an item; `pitch` is that of the lattice its pegs go into, mm."""
    found = [finding for look in (_standing, _shapes, _pads, _clamp, _carrying) for finding in look(item)]
    return (*found, *_pegs(item, pitch), _mass(item, material))


def _standing(item: Item) -> Iterator[ItemFinding]:
    lowest = min(_heights(solid.prism)[0] for solid in item.solids)
    text = f"the lowest of its solids begins {plain(round(lowest, 3))} mm above the mounting plane"
    yield ItemFinding("solid.on_table", "solids", text, "good" if lowest <= TOUCH else "told", round(lowest, 6), TOUCH)


def _shapes(item: Item) -> Iterator[ItemFinding]:
    for number, solid in enumerate(item.solids, 1):
        inner, holes = _reflex(solid.prism.outline), len(solid.prism.cutouts)
        if inner or holes:
            text = f"is not convex: {counted(inner, 'inner corner')}, {counted(holes, 'cut-out')}; it is met in convex pieces"
            yield ItemFinding("solid.convex", f"solid {number}", text, "told", float(inner), 0.0)


def _pads(item: Item) -> Iterator[ItemFinding]:
    for number, pad in enumerate(item.contacts, 1):
        subject = f"pad {number}"
        found = _surface(item, pad, np.array(pad.at))
        if found is None:
            text = f"no solid lies behind it within {SEARCHED:g} mm along its normal"
            yield ItemFinding("pad.on_face", subject, text, "wrong", None, TOUCH)
            continue
        away, solid = found
        ahead, behind = (_metal(item, np.array(pad.at) + sign * 2 * TOUCH * np.array(pad.normal)) for sign in (1.0, -1.0))
        if ahead and not behind:
            text = "its normal points into the piece: it looks from the locator into the part"
            yield ItemFinding("pad.normal", subject, text, "wrong")
            continue
        if ahead and abs(away) <= TOUCH:
            yield ItemFinding("pad.free", subject, "the piece itself stands before it: no part can meet it", "wrong")
        side = "behind" if away > 0 else "before"
        text = f"it lies {plain(round(abs(away), 3))} mm {side} the face of solid {item.solids.index(solid) + 1} along its normal"
        yield ItemFinding("pad.on_face", subject, text, "good" if abs(away) <= TOUCH else "wrong", round(abs(away), 6), TOUCH)
        yield from _whole(item, pad, subject)
        if solid.moves != pad.moves:
            which = (
                "moves with the setting and the solid it is on does not" if pad.moves else "stays and the solid it is on moves"
            )
            yield ItemFinding("pad.moves", subject, f"it {which}", "wrong")


def _whole(item: Item, pad: Contact, subject: str) -> Iterator[ItemFinding]:
    """Yield whether a pad has metal behind each of its corners."""
    across, up = axes_of(np.array(pad.normal))
    bare = 0
    for a, b in ((1, 1), (-1, 1), (-1, -1), (1, -1)):
        corner = np.array(pad.at) + (0.5 - INSET) * (a * pad.width * across + b * pad.height * up)
        found = _surface(item, pad, corner)
        bare += found is None or abs(found[0]) > TOUCH
    if bare:
        size = f"{plain(round(pad.width, 3))} x {plain(round(pad.height, 3))} mm"
        text = f"no face lies behind {bare} of its 4 corners: it is {size} and hangs over"
        yield ItemFinding("pad.whole", subject, text, "wrong", float(bare), 0.0)


def _surface(item: Item, pad: Contact, at: Array) -> tuple[float, Solid] | None:
    """Return how far ahead of a place the nearest face lies that looks along the pad's normal, mm, and whose it is."""
    ends = [(end, solid) for solid in item.solids for _, end in stretches(solid.prism, at, pad.normal) if abs(end) <= SEARCHED]
    return min(ends, key=lambda entry: (round(abs(entry[0]), 6), entry[1].moves != pad.moves), default=None)


def _metal(item: Item, at: Array) -> bool:
    return any(a < 0 < b for solid in item.solids for a, b in stretches(solid.prism, at, (0.0, 0.0, 1.0)))


def _clamp(item: Item) -> Iterator[ItemFinding]:
    if item.clamp is None or not item.contacts:
        return
    pad = item.contacts[0]
    gap = math.dist(pad.at, item.clamp.reach[0])
    text = f"its first pad lies {plain(round(gap, 3))} mm from where the reach begins, the tip as drawn"
    yield ItemFinding("reach.tip", "clamp", text, "good" if gap <= TOUCH else "wrong", round(gap, 6), TOUCH)
    lean = math.degrees(math.acos(min(1.0, max(-1.0, float(np.dot(pad.normal, item.clamp.direction))))))
    text = f"it pushes {lean:.2g} degrees off its pad's normal"
    yield ItemFinding("reach.direction", "clamp", text, "good" if lean <= ALIGNED else "wrong", round(lean, 4), ALIGNED)
    travel = math.dist(*item.clamp.reach)
    moving = any(solid.moves for solid in item.solids) and pad.moves
    if travel > 0 and not moving:
        text = f"its tip travels {plain(round(travel, 3))} mm and no solid with its pad moves with it"
        yield ItemFinding("reach.moves", "clamp", text, "told", round(travel, 6), 0.0)


def _carrying(item: Item) -> Iterator[ItemFinding]:
    if item.carries is None:
        if KINDS[item.kind].purpose == "carrier":
            yield ItemFinding("carries.missing", "carries", "nothing can stand on it: it carries nothing", "told")
        return
    tops = [_heights(solid.prism)[1] for solid in item.solids]
    nearest = min(tops, key=lambda top: abs(top - item.carries.height if item.carries else 0.0))
    away = abs(nearest - item.carries.height)
    top = plain(round(nearest, 3))
    text = f"what stands on it stands at {plain(item.carries.height)} mm; the nearest top of a solid is at {top} mm"
    yield ItemFinding("carries.height", "carries", text, "good" if away <= TOUCH else "wrong", round(away, 6), TOUCH)


def _pegs(item: Item, pitch: float | None) -> Iterator[ItemFinding]:
    """Yield pegs that have no solid on the table above them."""
    for number, peg in enumerate(item.pegs, 1):
        if pitch is None and peg != (0, 0):
            continue
        x, y = (step * (pitch or 0.0) for step in peg)
        above = any(
            a <= TOUCH < b for solid in item.solids for a, b in stretches(solid.prism, (x + 1e-4, y + 1e-4, 0.0), (0, 0, 1.0))
        )
        if not above:
            text = f"at ({plain(x)}, {plain(y)}) mm, where no solid stands on the table"
            yield ItemFinding("peg.under_piece", f"peg {number}", text, "told")


def _mass(item: Item, material: Material) -> ItemFinding:
    reckoned = mass_of(item, material)
    off = abs(item.mass_kg - reckoned) / max(reckoned, 1e-9)
    text = f"{plain(round(item.mass_kg, 3))} kg; its solids in {material} come to {plain(round(reckoned, 3))} kg"
    return ItemFinding("mass", "item", text, "good" if off <= MASS_SHARE else "told", round(off, 4), MASS_SHARE)


def mass_of(item: Item, material: Material) -> float:
    """Return what an item's solids come to, kg: those that overlap count twice."""
    volume = math.fsum(_volume(solid.prism) for solid in item.solids)
    return volume * 1e-9 * MATERIALS[material].density_kg_per_m3.value


def _volume(prism: Prism) -> float:
    rings = [np.array(ring, dtype=float) for ring in (prism.outline, *prism.cutouts)]
    return float(moments(rings, prism.start, prism.end, prism.cuts).volume)


def _heights(prism: Prism) -> tuple[float, float]:
    """Return the lowest and the highest z of a solid."""
    from solver.geometry.solids import pieces_of

    heights = np.concatenate([piece[:, 2] for piece in pieces_of(prism)])
    return float(heights.min()), float(heights.max())


def _reflex(ring: Ring) -> int:
    """Return how many corners of a ring turn the other way than it does as a whole."""
    following = (*ring[1:], ring[0])
    twice = sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(ring, following, strict=True))
    corners = zip(ring, following, (*following[1:], following[0]), strict=True)
    return sum(((b[0] - a[0]) * (c[1] - b[1]) - (b[1] - a[1]) * (c[0] - b[0])) * twice < -1e-6 for a, b, c in corners)


def counted(number: int, what: str) -> str:
    """Return a number with what it counts: ``1 inner corner``."""
    return f"{number} {what}{'' if number == 1 else 's'}"
