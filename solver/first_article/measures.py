"""What a fitter measures on the first weldment: each distance, diagonal and squareness as a value."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from inventory.shapes import Point3

ArticleKind = Literal["asked", "overall", "diagonal", "diagonal_difference", "squareness", "position"]
ArticleTool = Literal["tape", "tape and straightedge", "square"]


@dataclass(frozen=True, slots=True)
class ArticlePoint:
    """Where tape or square is put: a part (or `table`), its face in words, and a point of it in both frames, mm."""

    part: str
    words: str
    weldment_mm: Point3
    table_mm: Point3


@dataclass(frozen=True, slots=True)
class ArticleMeasure:
    """One line of the first-article check.

    Parameters
    ----------
    kind : ArticleKind
        A tolerance asked for, an overall size, a diagonal, two diagonals compared, a right angle, a part's place along another.
    words : str
        What to measure, as the weldment lies on the table seen from its front: x to the right, y away, z up.
    tool : ArticleTool
        What to measure with.
    points : tuple of ArticlePoint
        From, to; of compared diagonals the ends of the first, then those of the second.
    nominal_mm : float
        The length to read; of a right angle and of two diagonals compared the difference, 0 for a rectangle.
    plus_minus_mm, tolerance_source : float, str
        How far the reading may be off, and who says so.
    worst_mm, rss_mm : float or None
        How far locating alone may put it off, all locators at their worst and as root of the sum of squares; None if parts rest
        on each other in a circle, or one on nothing.
    leg_mm, plus_minus_deg : float or None
        Of a right angle: the shorter leg, over which its deviation is read, and the tolerance as an angle.
    """

    kind: ArticleKind
    words: str
    tool: ArticleTool
    points: tuple[ArticlePoint, ...]
    nominal_mm: float
    plus_minus_mm: float
    tolerance_source: str
    worst_mm: float | None
    rss_mm: float | None
    leg_mm: float | None = None
    plus_minus_deg: float | None = None

    @property
    def parts(self) -> tuple[str, ...]:
        """The parts it is measured at, each once."""
        return tuple(dict.fromkeys(point.part for point in self.points))

    @property
    def share(self) -> float:
        """The share of the tolerance that locating alone may use up; 0 where nothing is predicted."""
        return (self.worst_mm or 0.0) / self.plus_minus_mm
