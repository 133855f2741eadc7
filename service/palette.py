"""The colours of all that is drawn or shown as a page: few, each with its use, told apart in grey and by colour-blind eyes.

The fills of bodies differ in lightness first and in hue second, on the way from blue to yellow that most eyes see.
"""

from __future__ import annotations

from collections.abc import Mapping

COLOURS: Mapping[str, str] = {
    "paper": "#ffffff",
    "chalk": "#f4f2ea",  # what lies behind: the floor round a table, a block of code
    "plate": "#fbfaf5",  # a table's slab
    "mist": "#dfddd2",  # holes, thin rules
    "sand": "#dfd7b6",  # carriers
    "steel": "#a3ada6",  # parts
    "ochre": "#c17e20",  # clamps
    "petrol": "#2f6e7a",  # locators
    "umber": "#5f3410",  # outlines and tips of clamps
    "ink": "#1e221d",  # texts and outlines
    "slate": "#4a524b",  # texts of less weight, dimension lines
    "madder": "#93173f",  # welds
    "night": "#181b17",  # a page at night
    "coal": "#2a2e29",  # what lies behind, at night
    "ash": "#e6e4da",  # texts at night
    "sky": "#9fc7cf",  # links at night
}
"""Every colour by name."""

BY_NIGHT: Mapping[str, str] = {
    "paper": "#181b17",
    "chalk": "#21251f",
    "plate": "#262a24",
    "mist": "#454b42",
    "sand": "#7b7350",
    "steel": "#78847c",
    "ochre": "#cf8f38",
    "petrol": "#4c929f",
    "umber": "#e2bf98",
    "ink": "#e6e4da",
    "slate": "#aeb5aa",
    "madder": "#ee86a8",
}
"""What takes the place of a colour where pages and their drawings are shown light on dark."""


def rgb(colour: str) -> tuple[float, float, float]:
    """Return red, green and blue of a colour such as ``#2f6e7a``, from 0 to 1."""
    red, green, blue = (int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5))
    return red, green, blue
