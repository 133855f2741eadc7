"""Arcs that are drawn as facets: runs of short equal straight sides that turn by equal angles.

The corners of a run lie on the arc (as this program draws corners of tubes and bores), or its flats touch it (as it draws the
outside of rounds). A run inside an outline is taken by its corners; one that goes all round by its flats where the solid is
inside, by its corners where it is a bore.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from inventory.shapes import Point2
from solver.recognition.outlines.sides import RoundSide, Side, Sides, StraightSide
from solver.recognition.tolerances import FACETS, SAME

EVEN = 1e-3
"""Turns of a run differ by no more than this, rad, beside what the corners' own SAME explains."""
LEAST = 3
"""Facets of the shortest run."""


def smoothed(sides: Sides) -> Sides:
    """Return an outline with its runs of facets as the arcs they stand for."""
    if len(sides) < LEAST or not all(isinstance(side, StraightSide) for side in sides):
        return sides
    straight = [side for side in sides if isinstance(side, StraightSide)]
    whole = _whole(straight)
    if whole is not None:
        return (whole,)
    count = len(straight)
    joint = [_even(straight[k], straight[(k + 1) % count]) for k in range(count)]
    first = next((k for k in range(count) if joint[k - 1] is None), None)
    if first is None:
        return sides
    ordered = [straight[(first + k) % count] for k in range(count)]
    joint = [joint[(first + k) % count] for k in range(count)]
    found: list[Side] = []
    run = [ordered[0]]
    for k in range(1, count + 1):
        turn, before = joint[k - 1], joint[k - 2] if len(run) > 1 else joint[k - 1]
        goes_on = k < count and turn is not None and before is not None and abs(turn - before) <= _slack(run[-1])
        if goes_on:
            run.append(ordered[k])
            continue
        found += _arc(run)
        if k < count:
            run = [ordered[k]]
    return tuple(found)


def _slack(side: StraightSide) -> float:
    return EVEN + SAME / side.length


def _even(one: StraightSide, other: StraightSide) -> float | None:
    """Return the turn from a side to the next, rad, if both may be facets of one arc; None if not."""
    if abs(one.length - other.length) > 2 * SAME:
        return None
    (a, b), (c, d) = one.direction, other.direction
    turn = math.atan2(a * d - b * c, a * c + b * d)
    return turn if 1e-4 < abs(turn) <= 2 * math.pi / FACETS + EVEN else None


def _arc(run: Sequence[StraightSide]) -> list[Side]:
    """Return the arc through the corners of a run, or the run as it is."""
    if len(run) < LEAST:
        return list(run)
    corners = [run[0].a, *(side.b for side in run)]
    middle = len(corners) // 2
    centre = _circumcentre(corners[0], corners[middle], corners[-1])
    if centre is None:
        return list(run)
    radius = math.dist(centre, corners[0])
    if max(abs(math.dist(centre, corner) - radius) for corner in corners) > SAME:
        return list(run)
    first = math.atan2(corners[0][1] - centre[1], corners[0][0] - centre[0])
    sweep = sum(_turned(centre, side) for side in run)
    return [RoundSide(centre, radius, first, sweep)]


def _turned(centre: Point2, side: StraightSide) -> float:
    a, b, c, d = side.a[0] - centre[0], side.a[1] - centre[1], side.b[0] - centre[0], side.b[1] - centre[1]
    return math.atan2(a * d - b * c, a * c + b * d)


def _circumcentre(a: Point2, b: Point2, c: Point2) -> Point2 | None:
    bx, by, cx, cy = b[0] - a[0], b[1] - a[1], c[0] - a[0], c[1] - a[1]
    double = 2 * (bx * cy - by * cx)
    if abs(double) < 1e-12:
        return None
    b2, c2 = bx * bx + by * by, cx * cx + cy * cy
    return a[0] + (cy * b2 - by * c2) / double, a[1] + (bx * c2 - cx * b2) / double


def _whole(sides: Sequence[StraightSide]) -> RoundSide | None:
    """Return the circle that a regular polygon stands for, None if the sides are none."""
    if len(sides) < FACETS:
        return None
    centre = sum(side.a[0] for side in sides) / len(sides), sum(side.a[1] for side in sides) / len(sides)
    turns = [_turned(centre, side) for side in sides]
    if abs(abs(sum(turns)) - 2 * math.pi) > 1e-6 or max(turns) * min(turns) <= 0:
        return None
    outside = sum(turns) > 0
    if outside:
        reaches = [math.dist(centre, ((side.a[0] + side.b[0]) / 2, (side.a[1] + side.b[1]) / 2)) for side in sides]
    else:
        reaches = [math.dist(centre, side.a) for side in sides]
    radius = sum(reaches) / len(reaches)
    even = max(turns, key=abs) / min(turns, key=abs)
    if max(abs(reach - radius) for reach in reaches) > SAME or even > 1.05:
        return None
    first = math.atan2(sides[0].a[1] - centre[1], sides[0].a[0] - centre[0])
    return RoundSide(centre, radius, first, math.copysign(2 * math.pi, sum(turns)))
