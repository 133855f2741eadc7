"""What a part is to a fitter: flat or long, which of its faces are broad, how thick it is where a weld meets it."""

from __future__ import annotations

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


def is_flat(part: Part) -> bool:
    """Whether a part is a plate: of section ``plate`` and thinner than it is long and wide; any other runs along its length."""
    return part.section.shape == "plate" and part.length < float(np.ptp(part.section.outline, axis=0).max())


def broad_faces(part: Part) -> frozenset[str]:
    """Return the labels of the broad faces of what is made of sheet: plates, flat bars, angles, channels; of others none."""
    section = part.section
    if is_flat(part):
        return frozenset(("start", "end"))
    if section.shape == "flat_bar" and section.box is not None:
        width, thickness = section.box
        if thickness <= THIN * width:
            return frozenset(("side:1", "side:3"))
        return frozenset(("side:0", "side:2")) if width <= THIN * thickness else frozenset()
    return frozenset(label for label, words in leg_names(section).items() if not words.startswith("edge"))


def thickness_of(part: Part) -> float:
    """Return the thickness that a weld meets, mm: a wall, a leg, a plate's thickness; of a bent plate what it is on average."""
    section = part.section
    if section.shape != "plate":
        return section.thinnest
    ring = np.array(section.plate_outline)
    girth = float(np.linalg.norm(np.roll(ring, -1, axis=0) - ring, axis=1).sum())
    return min(part.length, 2 * abs(signed_area(section.plate_outline)) / girth)
