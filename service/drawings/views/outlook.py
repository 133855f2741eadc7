"""Where one looks from, and how table millimetres fall on paper."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass

import numpy as np

from inventory.shapes import Array, Point2, Point3, Prism
from service.drawings.paper.marks import Box, Mark
from service.drawings.projection import Silhouette, silhouette

SCALES = (0.5, 1, 1.5, 2, 2.5, 3, 4, 5, 6, 7.5, 8, 10, 12, 15, 20, 25, 30, 40, 50, 75, 100, 150, 200)
"""A drawing's scale is 1 to one of these (ISO 5455 and steps between, so that small paper is used well)."""


@dataclass(frozen=True, slots=True)
class Outlook:
    """A direction to look from: what is right, up and towards the viewer, as unit vectors of the table's frame."""

    name: str
    right: Point3
    up: Point3
    towards: Point3

    def frame(self) -> Array:
        """Return the 4x4 frame from the table's to the viewer's: x right, y up, z towards the viewer."""
        frame = np.eye(4)
        frame[0, :3], frame[1, :3], frame[2, :3] = self.right, self.up, self.towards
        return frame

    def seen(self, point: Point3) -> Point2:
        """Return where a point appears, mm."""
        return _along(self.right, point), _along(self.up, point)

    def depth(self, point: Point3) -> float:
        """Return how near a point is to the viewer, mm."""
        return _along(self.towards, point)

    def shape(self, solid: Prism) -> Silhouette:
        """Return a solid as it is seen; its `high` is how near it comes to the viewer."""
        return silhouette(solid.placed(self.frame()))


TOP = Outlook("from above", (1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))
SIDES: Mapping[str, Outlook] = {
    side.name: side
    for side in (
        Outlook("from the front", (1.0, 0.0, 0.0), (0.0, 0.0, 1.0), (0.0, -1.0, 0.0)),
        Outlook("from the right", (0.0, 1.0, 0.0), (0.0, 0.0, 1.0), (1.0, 0.0, 0.0)),
        Outlook("from the back", (-1.0, 0.0, 0.0), (0.0, 0.0, 1.0), (0.0, 1.0, 0.0)),
        Outlook("from the left", (0.0, -1.0, 0.0), (0.0, 0.0, 1.0), (-1.0, 0.0, 0.0)),
    )
}
"""The sides of the table, by what a drawing calls them; the front is where rows begin."""


@dataclass(frozen=True, slots=True)
class View:
    """A window of what is seen from somewhere, on paper.

    Parameters
    ----------
    outlook : Outlook
    window : Box
        What is shown, mm as seen: left, bottom, right, top (`top` below `bottom` in numbers: up is up).
    scale : float
        1 to so much.
    corner : (x, y)
        The window's upper left corner on paper, mm.
    """

    outlook: Outlook
    window: Box
    scale: float
    corner: Point2 = (0.0, 0.0)

    @property
    def frame(self) -> Box:
        """The window on paper."""
        x, y = self.corner
        return Box(x, y, x + self.window.width / self.scale, y + self.window.height / self.scale)

    def flat(self, point: Point2) -> Point2:
        """Return where a point as seen, mm, falls on paper."""
        return (
            self.corner[0] + (point[0] - self.window.left) / self.scale,
            self.corner[1] + (self.window.bottom - point[1]) / self.scale,
        )

    def at(self, point: Point3) -> Point2:
        """Return where a point of the table falls on paper."""
        return self.flat(self.outlook.seen(point))

    def ring(self, ring: Iterable[Point2]) -> tuple[Point2, ...]:
        """Return where an outline as seen falls on paper."""
        return tuple(self.flat(point) for point in ring)

    def way(self, direction: Point3) -> Point2:
        """Return a direction of the table on paper: x right, y down."""
        right, up = self.outlook.seen(direction)
        return right, -up


More = Callable[[View, str], Iterable[Mark]]
"""What a view draws over its bodies besides, given the view and what ids begin with."""


def nothing_more(view: View, prefix: str) -> Iterable[Mark]:
    """Return nothing."""
    return ()


def window_around(points: Iterable[Point2], margin: float) -> Box:
    """Return a window around points as seen, mm, with a margin: `bottom` is the greater height."""
    found = Box.around(points)
    return Box(found.left - margin, found.top - margin, found.right + margin, found.bottom + margin)


def scale_for(window: Box, room_mm: Point2) -> float:
    """Return the largest scale at which a window fits into so much paper, wide and high; the smallest there is if none does."""
    return next((n for n in SCALES if window.width / n <= room_mm[0] and window.height / n <= room_mm[1]), SCALES[-1])


def _along(axis: Point3, point: Point3) -> float:
    return axis[0] * point[0] + axis[1] * point[1] + axis[2] * point[2]
