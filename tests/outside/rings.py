"""Closed rings of lying parts, mitred at every corner."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from inventory.shapes import Array
from solver.sections import Section
from solver.weldment import Part, Weld, Weldment
from tests import builders as b
from tests.outside.corners import TUBE, mitred, point


def ring(corners: Sequence[tuple[float, float]], section: Section = TUBE, height: float = 50, prefix: str = "") -> list[Part]:
    """Return parts along the sides of a polygon (its corners on their centre lines, counter-clockwise), each cut at half its angles."""
    places = [np.array([x, y, height / 2]) for x, y in corners]
    ways = [_unit(places[(k + 1) % len(places)] - places[k]) for k in range(len(places))]
    parts = []
    for k, start in enumerate(places):
        end, before, after = places[(k + 1) % len(places)], ways[k - 1], ways[(k + 1) % len(places)]
        mitres = [(start, -_unit(ways[k] + before)), (end, _unit(ways[k] + after))]
        parts.append(mitred(f"{prefix}{k + 1}", section, start, end, mitres, height))
    return parts


def seams(parts: Sequence[Part], corners: Sequence[tuple[float, float]], height: float = 50) -> list[Weld]:
    """Return a weld on top along each mitre, in the middle 0.6 of it."""
    count = len(corners)
    found = []
    for k in range(count):
        at, last, following = (np.array(corners[j % count], dtype=float) for j in (k, k - 1, k + 1))
        across = _unit(_unit(last - at) + _unit(following - at))
        ahead = _unit(following - at)
        half = 0.3 * height / max(abs(float(across[0] * ahead[1] - across[1] * ahead[0])), 0.5)
        path = [point(np.array([*(at + side * half * across), height])) for side in (-1, 1)]
        found.append(Weld(f"w{k + 1}", (parts[k - 1].id, parts[k].id), tuple(path), "butt", throat=3.0))
    return found


def frame(width: float = 400, depth: float = 300, section: Section = TUBE, height: float = 50) -> Weldment:
    """Return a frame of four parts mitred at its corners, `width` x `depth` over its centre lines, a seam on top of each corner."""
    corners = ((0.0, 0.0), (width, 0.0), (width, depth), (0.0, depth))
    parts = ring(corners, section, height)
    return b.weldment(*parts, welds=seams(parts, corners, height), name="mitred frame")


def beside(section: Section = TUBE, height: float = 50) -> Weldment:
    """Return two frames side by side, 190 mm between them: eight parts in two rings."""
    left, right = ((0, 0), (320, 0), (320, 320), (0, 320)), ((560, 0), (880, 0), (880, 320), (560, 320))
    parts, welds = [], []
    for corners, name in ((left, "a"), (right, "b")):
        own = ring(corners, section, height, name)
        parts += own
        welds += [replace(weld, id=f"{name}{weld.id}") for weld in seams(own, corners, height)]
    return b.weldment(*parts, welds=welds, name="two frames side by side")


def octagon(side: float = 300, section: Section = TUBE, height: float = 50) -> Weldment:
    """Return a ring of eight parts mitred at its corners, a seam on top of each."""
    turns = np.radians(np.arange(8) * 45.0)
    steps = side * np.stack([np.cos(turns), np.sin(turns)], axis=1)
    corners = [(float(x), float(y)) for x, y in np.cumsum([np.zeros(2), *steps[:-1]], axis=0)]
    parts = ring(corners, section, height)
    return b.weldment(*parts, welds=seams(parts, corners, height), name="octagon")


def _unit(vector: Array) -> Array:
    found: Array = vector / np.linalg.norm(vector)
    return found
