"""Where an item's frame lies in a file, and solids of the file as the prisms of an item."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from inventory import limits
from inventory.cuts import PlaneCut
from inventory.errors import Fault, refuse
from inventory.shapes import Array, Point3, Prism, Ring, as_matrix
from service.documents.item_files.marks import MarksDocument
from solver.drafting.tidy import tidy, tidy_point
from solver.sections import CIRCLE_SIDES, signed_area
from solver.sections.rings import circle
from solver.weldment import PARALLEL, Part

DIGITS = 6
"""Digits after the point that an item's lengths, mm, and directions keep."""
UPRIGHT = 1e-9
"""A solid whose axis leans less from upright than this, as the sine of the angle, stands upright."""


@dataclass(frozen=True)
class ItemPlace:
    """The 4x4 rigid frame that takes points of the file to points of the item, mm."""

    frame: Array

    @staticmethod
    def of(marks: MarksDocument) -> ItemPlace:
        """Return where marks have the item; raises InvalidDocument if `along` is parallel to `up`."""
        up, along = np.array(limits.unit(marks.up)), np.array(limits.unit(marks.along))
        level = along - (along @ up) * up
        if np.linalg.norm(level) < PARALLEL:
            refuse([Fault("/along", "along is parallel to up", "a direction at an angle to up; it is made square to it")])
        x = level / np.linalg.norm(level)
        frame = np.eye(4)
        frame[:3, :3] = np.stack([x, np.cross(up, x), up])
        frame[:3, 3] = -frame[:3, :3] @ np.array(marks.origin)
        return ItemPlace(frame)

    def point(self, point: Array | Point3 | list[float]) -> Point3:
        """Return a point of the file as the item has it."""
        return tidy_point(self.frame[:3, :3] @ np.array(point) + self.frame[:3, 3], DIGITS)

    def direction(self, direction: Array | Point3 | list[float]) -> Point3:
        """Return a direction of the file as the item has it, unit."""
        turned = self.frame[:3, :3] @ np.array(limits.unit([float(value) for value in direction]))
        return tidy_point(turned, DIGITS * 2)

    def solid(self, part: Part) -> Prism:
        """Return a part of the file as a solid of the item: what stands upright or is a level block in the item's own frame."""
        placed = self.frame @ part.pose.frame()
        if all(abs(placed[2, axis]) < UPRIGHT for axis in (0, 1)):
            return _upright(part, placed)
        return _level_block(part, placed) or Prism(
            _rounded(part.section.outline), 0.0, tidy(part.length, DIGITS), tuple(map(_rounded, part.section.cutouts)),
            as_matrix(np.round(placed, 12) + 0.0), part.cuts,
        )  # fmt: skip


def cut_at_table(prism: Prism) -> Prism:
    """Return what a solid has above the mounting plane; the same solid if it has nothing below it."""
    frame = np.array(prism.frame)
    down = -frame[2, :3]
    level = PlaneCut(tidy_point(down * frame[2, 3], DIGITS), tidy_point(down, DIGITS * 2))
    return Prism(prism.outline, prism.start, prism.end, prism.cutouts, prism.frame, (*prism.cuts, level))


def _upright(part: Part, placed: Array) -> Prism:
    ends = sorted((placed[2, 3], placed[2, 3] + placed[2, 2] * part.length))
    return Prism(
        _from_above(part.section.outline, placed, part, outside=True),
        tidy(ends[0], DIGITS),
        tidy(ends[1], DIGITS),
        tuple(_from_above(ring, placed, part, outside=False) for ring in part.section.cutouts),
        cuts=tuple(_moved(cut, placed) for cut in part.cuts),
    )


def _level_block(part: Part, placed: Array) -> Prism | None:
    """Return a block that lies on one of its long sides as an outline from above; None if it is no such block."""
    outline = np.array(part.section.outline)
    upright = [axis for axis in (0, 1) if abs(placed[2, axis]) > 1 - UPRIGHT]
    low, high = outline.min(axis=0), outline.max(axis=0)
    square = len(outline) == 4 and all((np.isclose(p, low, atol=1e-9) | np.isclose(p, high, atol=1e-9)).all() for p in outline)
    if not upright or not square or part.cuts or part.section.cutouts:
        return None
    corners = [(u, v, w, 1.0) for u in (low[0], high[0]) for v in (low[1], high[1]) for w in (0.0, part.length)]
    points = (np.array(corners) @ placed.T)[:, :3]
    ends = points[np.isclose(np.array(corners)[:, upright[0]], low[upright[0]])]
    ring = tuple((float(x), float(y)) for x, y, _ in ends[[0, 1, 3, 2]])
    return Prism(_begun(ring), tidy(points[:, 2].min(), DIGITS), tidy(points[:, 2].max(), DIGITS))


def _from_above(ring: Ring, placed: Array, part: Part, outside: bool) -> Ring:
    """Return a ring of a part as seen from above; circles have the corners that circles of items have."""
    if part.section.round:
        diameter = part.section.sizes["diameter"] - (0.0 if outside else 2 * part.section.sizes["wall"])
        ring = circle(diameter, CIRCLE_SIDES, circumscribe=outside)
        return _rounded(tuple((u + placed[0, 3], v + placed[1, 3]) for u, v in ring))
    flat = np.array([(u, v, 0.0, 1.0) for u, v in ring]) @ placed.T
    return _begun(tuple((float(x), float(y)) for x, y, _, _ in flat))


def _begun(ring: Ring) -> Ring:
    """Return a ring as documents write it: counter-clockwise, from the leftmost of its lowest corners."""
    points = _rounded(ring if signed_area(ring) > 0 else ring[::-1])
    first = min(range(len(points)), key=lambda k: (points[k][1], points[k][0]))
    return (*points[first:], *points[:first])


def _rounded(ring: Ring) -> Ring:
    return tuple((tidy(u, DIGITS), tidy(v, DIGITS)) for u, v in ring)


def _moved(cut: PlaneCut, placed: Array) -> PlaneCut:
    point = placed[:3, :3] @ np.array(cut.point) + placed[:3, 3]
    return PlaneCut(tidy_point(point, DIGITS), tidy_point(placed[:3, :3] @ np.array(cut.normal), DIGITS * 2))
