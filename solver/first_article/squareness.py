"""Right angles between welded parts: where a square is put, over which leg its gap is read, how far locating may open it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from inventory.shapes import Array
from solver.checks.arithmetic.vectors import cross
from solver.checks.scene.scene import SetPart
from solver.first_article.measures import ArticleMeasure
from solver.first_article.positions import welded_pairs
from solver.first_article.prediction import turns, worst_and_rss
from solver.first_article.reach import FinishedWeldment, MeasuredFace
from solver.standards.iso13920 import LinearClass, angular_degrees, angular_mm

SHORTEST_LEG = 40.0
"""A shorter leg says little: the blade of a small square lies on this much; practice, no source, mm."""
FOOT = 20.0
"""A square's foot needs at least this much of the other leg; practice, no source, mm."""
SQUARE_TO = 1e-6
"""Cosine of the angle between directions that are square to each other, as drawn."""


@dataclass(frozen=True)
class Corner:
    """A square's two legs: a face each, the shorter one's length (mm), and the spots (2, 3) nearest to each other."""

    faces: tuple[MeasuredFace, MeasuredFace]
    leg: float
    spots: Array


def right_angles(finished: FinishedWeldment, tolerance_class: LinearClass) -> Iterator[ArticleMeasure]:
    """Yield the right angles of each welded pair: long axes of profiles, large faces of plates, or a plate's edge to an axis."""
    for longer, shorter in welded_pairs(finished):
        for first, second in _directions(longer, shorter):
            corner = _corner(finished, longer, shorter, first, second)
            if corner is not None and corner.leg >= SHORTEST_LEG:
                yield _measured(finished, corner, cross(first, second), tolerance_class)


def _directions(longer: SetPart, shorter: SetPart) -> list[tuple[Array, Array]]:
    """Return how the two legs' faces look, square to each other: the first part's, then the second's; a leg each way round."""
    flat, flat_too = longer.part.flat, shorter.part.flat
    if flat_too and not flat:
        return _upright(longer, shorter)
    if flat and not flat_too:
        return [(second, first) for first, second in _upright(shorter, longer)]
    one, other = longer.pose[:3, 2], shorter.pose[:3, 2]
    if abs(float(one @ other)) > SQUARE_TO:
        return []
    return [(one, other)] if flat else [(other, one)]


def _upright(profile: SetPart, plate: SetPart) -> list[tuple[Array, Array]]:
    """Return the same for a profile and a plate: across it both ways, along it by an edge of the plate."""
    axis, thick = profile.pose[:3, 2], plate.pose[:3, 2]
    if abs(float(axis @ thick)) > 1 - SQUARE_TO:
        return [(profile.pose[:3, 0], axis), (profile.pose[:3, 1], axis)]
    return [(cross(thick, axis), axis)] if abs(float(axis @ thick)) < SQUARE_TO else []


def _corner(finished: FinishedWeldment, one: SetPart, other: SetPart, first: Array, second: Array) -> Corner | None:
    """Return where the square is put: inside a corner rather than round one, then over the longest leg, then nearest by."""
    pairs = [
        (a, b)
        for a in (face for sign in (1, -1) for face in finished.looking(one.id, sign * first))
        for b in (face for sign in (1, -1) for face in finished.looking(other.id, sign * second))
    ]
    if not pairs:
        return None
    a, b = min(pairs, key=lambda pair: _order(*pair))
    return Corner((a, b), _leg(a, b), _spots(finished, a, b))


def _leg(a: MeasuredFace, b: MeasuredFace) -> float:
    return min(a.extent(b.normal), b.extent(a.normal))


def _order(a: MeasuredFace, b: MeasuredFace) -> tuple[bool, float, float]:
    inside = _ahead(b, a) > _leg(a, b) / 2 and _ahead(a, b) > FOOT
    apart = np.linalg.norm(a.spots[:, None] - b.spots[None], axis=2).min()
    return not inside, -round(_leg(a, b), 1), round(float(apart), 1)


def _ahead(face: MeasuredFace, other: MeasuredFace) -> float:
    """Return how much of a face lies on the side to which the other one looks, along the way that one looks, mm."""
    reach = face.corners @ other.normal
    return float(reach.max() - max(other.height, reach.min()))


def _spots(finished: FinishedWeldment, a: MeasuredFace, b: MeasuredFace) -> Array:
    """Return a spot on either face, near the corner between them."""
    at = b.spots[int(np.argmin(np.round(np.abs(b.spots @ a.normal - a.height), 3)))]
    foot = (at - float(at @ a.normal - a.height) * a.normal + FOOT / 2 * b.normal)[None]
    if a.holds(foot)[0] and finished.free(a.part, a.normal, foot)[0]:
        return np.array([foot[0], at])
    return np.array([a.spots[int(np.argmin(np.round(np.linalg.norm(a.spots - at, axis=1), 3)))], at])


def _measured(finished: FinishedWeldment, corner: Corner, axis: Array, tolerance_class: LinearClass) -> ArticleMeasure:
    a, b = corner.faces
    errors = corner.leg * (turns(finished.readings, b.part, axis) - turns(finished.readings, a.part, axis))
    points = tuple(finished.point(face.part, face.words, at) for face, at in zip(corner.faces, corner.spots, strict=True))
    return ArticleMeasure(
        "squareness", f"square between {a.words} and {b.words}", "square", points, 0.0,
        angular_mm(tolerance_class, corner.leg), f"ISO 13920 class {tolerance_class}, table 2", *worst_and_rss(errors),
        leg_mm=round(corner.leg, 3), plus_minus_deg=angular_degrees(tolerance_class, corner.leg),
    )  # fmt: skip
