"""How a recognised solid is looked at: which way along it is w, which way square to it is v. One answer for one solid.

Along runs in the positive direction of the axis of the file that it is nearest to; up is what is nearest to +z, then +y, then +x.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from inventory.shapes import Array, Point2
from solver.drafting.tidy import tidy_point
from solver.recognition.cross_section import CrossSection
from solver.recognition.outlines.named_shapes import NamedShape
from solver.recognition.outlines.sides import StraightSide
from solver.weldment import Pose

COARSE = 6
"""Digits by which directions are compared, so that noise decides nothing."""
DIGITS = 6
"""Digits after the point that are kept of recognised sizes and places, mm."""
DIRECTION_DIGITS = 10
CROOKED = 1e-4
"""Sides that miss a right angle by less than this, rad, are square to each other."""


def positive(axis: Array) -> Array:
    """Return an axis or its opposite: the one whose greatest share is positive."""
    coarse = np.round(axis, COARSE)
    chief = int(np.argmax(np.abs(coarse)))
    return axis if axis[chief] > 0 else -axis


def across_of(section: CrossSection, shape: NamedShape | None) -> Point2:
    """Return the u direction of a section in its own plane, unit.

    An angle's and a channel's follow from their sizes. A flat bar's v runs through its thickness. Whatever else has the choice
    - tubes, rounds, outlines by the direction of most of their sides - takes the v that is nearest to up.
    """
    if shape is not None and not shape.turns:
        return shape.across
    if shape is not None and shape.shape == "flat_bar":
        across, square = shape.across, abs(shape.sizes["width"] - shape.sizes["thickness"]) < 1e-3
        if not square and shape.sizes["width"] < shape.sizes["thickness"]:
            across = (-across[1], across[0])
        return _turned(section, across, range(4) if square else (0, 2))
    if shape is not None and shape.shape in ("round_bar", "round_tube"):
        return _turned(section, _level(section), range(4))
    across = shape.across if shape is not None else _chief(section)
    return _turned(section, across, range(4))


def _turned(section: CrossSection, across: Point2, quarters: Sequence[int]) -> Point2:
    """Return a direction turned by quarters so that what is square to it is nearest to +z, then +y, then +x."""
    choices = [(across[0], across[1]), (-across[1], across[0]), (-across[0], -across[1]), (across[1], -across[0])]
    return max((choices[k] for k in quarters), key=lambda u: _height(section.basis @ np.array([-u[1], u[0], 0.0])))


def _height(up: Array) -> tuple[float, float, float]:
    x, y, z = np.round(up, COARSE)
    return float(z), float(y), float(x)


def _level(section: CrossSection) -> Point2:
    """Return a direction square to the projection of +z, or of +y, on the section."""
    for direction in (2, 1):
        u, v = section.basis[direction, :2]
        size = float(np.hypot(u, v))
        if size > 1e-3:
            return float(v) / size, -float(u) / size
    return 1.0, 0.0


def _chief(section: CrossSection) -> Point2:
    """Return the direction that most of a section's outline runs along or square to; of equal ones the first along an axis."""
    straight = [side for side in section.outer if isinstance(side, StraightSide)]
    if not straight:
        return _level(section)
    lengths = np.array([side.length for side in straight])
    ways = np.array([side.direction for side in straight])
    along = np.abs(ways @ ways.T)
    weight = ((along < CROOKED) | (along > 1 - CROOKED**2)) @ lengths
    chosen = (side for side, share in zip(straight, weight, strict=True) if share > weight.max() - 1e-3)
    return min(chosen, key=lambda side: (*_slant(section, side.direction), -round(side.length, 3))).direction


def _slant(section: CrossSection, direction: Point2) -> tuple[float, ...]:
    x, y, z = np.round(np.abs(section.basis @ np.array([*direction, 0.0])), COARSE)
    return 1 - max(x, y, z), -z, -y, -x


def pose_of(section: CrossSection, at: Point2, low: float, across: Point2) -> Pose:
    """Return the pose of a section whose origin is `at`, u `across` in its plane, from w = `low` on."""
    basis = section.basis
    place = section.origin + basis @ np.array([*at, low])
    up = basis @ np.array([-across[1], across[0], 0.0])
    along, up = tidy_point(basis[:, 2], DIRECTION_DIGITS), tidy_point(up, DIRECTION_DIGITS)
    return Pose(tidy_point(place, DIGITS), along, up)
