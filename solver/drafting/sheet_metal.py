"""What is made of sheet metal: which of its faces are broad, what its legs are called, how thick it is where a weld meets it."""

from __future__ import annotations

import math
from collections.abc import Mapping

import numpy as np

from solver.sections import Section, signed_area
from solver.weldment import Part

LEGS: Mapping[str, tuple[str, ...]] = {
    "angle": (
        "outside of leg a",
        "edge of leg a",
        "inside of leg a",
        "inside of leg b",
        "edge of leg b",
        "outside of leg b",
    ),
    "channel": (
        "outside of flange a",
        "edge of flange a",
        "inside of flange a",
        "inside of web",
        "inside of flange b",
        "edge of flange b",
        "outside of flange b",
        "back of web",
    ),
}
"""What the sides of angles and channels are called, by number."""
THIN = 0.5
"""A bar no thicker than this share of its width is flat."""


def leg_names(section: Section) -> Mapping[str, str]:
    """Return what the sides of an angle or a channel are called, by label; of other sections nothing."""
    return {f"side:{number}": words for number, words in enumerate(LEGS.get(section.shape, ()))}


def broad_faces(part: Part) -> frozenset[str]:
    """Return the labels of the broad faces of what is made of sheet: plates, flat bars, angles, channels; of others none."""
    section = part.section
    if section.shape == "plate":
        thickness = thickness_of(part)
        if part.length <= thickness:
            return frozenset(("start", "end"))
        sides = (edge for edge in section.edges if edge.label.startswith("side:"))
        return frozenset(edge.label for edge in sides if thickness <= THIN * math.dist(edge.a, edge.b))
    if section.shape == "flat_bar" and section.box is not None:
        width, thickness = section.box
        if thickness <= THIN * width:
            return frozenset(("side:1", "side:3"))
        return frozenset(("side:0", "side:2")) if width <= THIN * thickness else frozenset()
    return frozenset(label for label, words in leg_names(section).items() if not words.startswith("edge"))


def thickness_of(part: Part) -> float:
    """Return the thickness that a weld meets, mm: a wall, a leg, a plate's thickness.

    Of a plate whose outline is the thinner way through it - a bent sheet drawn by its end - it is what the outline is thick: its
    least width, on average where it is bent.
    """
    section = part.section
    if section.shape != "plate":
        return section.thinnest
    ring = np.array(section.plate_outline, dtype=float)
    steps = np.roll(ring, -1, axis=0) - ring
    lengths = np.linalg.norm(steps, axis=1)
    turns = steps[:, 0] * np.roll(steps[:, 1], -1) - steps[:, 1] * np.roll(steps[:, 0], -1)
    if (turns >= 0).all() or (turns <= 0).all():
        normals = np.stack([steps[:, 1], -steps[:, 0]], axis=1) / lengths[:, None]
        width = float(np.ptp(ring @ normals.T, axis=0).min())
    else:
        width = 2 * abs(signed_area(section.plate_outline)) / float(lengths.sum())
    return min(part.length, width)
