"""Where a direction of the weldment as drawn looks, in words: x to the right, y away from who looks on, z up."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from inventory.shapes import Array

WORDS = {(0, 1): "right", (0, -1): "left", (1, 1): "far", (1, -1): "near", (2, 1): "upper", (2, -1): "lower"}
"""The word for a direction by its axis and sign."""
SLIGHT = 0.1
"""What a unit vector has along an axis is not mentioned below this."""


def looks(direction: Array | Sequence[float]) -> list[tuple[int, int]]:
    """Return the axes (with sign) that a unit vector looks along: z, then y, then x, slight shares left out."""
    return [(axis, 1 if direction[axis] > 0 else -1) for axis in (2, 1, 0) if abs(direction[axis]) > SLIGHT]


def direction_words(direction: Array | Sequence[float]) -> str:
    """Return where a direction looks: ``far``, ``upper right``."""
    return " ".join(WORDS[look] for look in looks(direction))


def axes_of(direction: Array | Sequence[float]) -> str:
    """Return the axes a direction looks along, as drawings name them: ``+z``, ``-x+y``."""
    return "".join(f"{'+' if sign > 0 else '-'}{'xyz'[axis]}" for axis, sign in reversed(looks(direction)))


def side_words(direction: Array | Sequence[float], noun: str) -> str:
    """Return what a side that looks along a direction is called: ``top``, ``underside``, ``far side``, ``upper right side``."""
    seen = looks(direction)
    if len(seen) == 1 and seen[0][0] == 2 and noun in ("side", "face"):
        return "top" if seen[0][1] > 0 else "underside"
    return f"{direction_words(direction)} {noun}"


def among_words(place: str, direction: Array) -> str:
    """Return where something lies among others of one place, by the direction from their middle: ``left``, ``outer``.

    Along the way that the place itself looks it is the outer or the inner one.
    """
    axis = int(np.argmax(np.abs(np.round(direction, 6))))
    sign = 1 if direction[axis] > 0 else -1
    ends = {sign * way: side_words(sign * way * np.eye(3)[axis], "side") for way in (1, -1)}
    if place.endswith(f" {ends[sign]}"):
        return "outer"
    return "inner" if place.endswith(f" {ends[-sign]}") else WORDS[axis, sign]
