"""What a drawing is made of: paths, discs and words, each in a style, at places in mm of paper (x right, y down)."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Literal

from inventory.shapes import Point2
from service.drawings.paper.lettering import NORMAL, width_mm

Anchor = Literal["start", "middle", "end"]


@dataclass(frozen=True, slots=True)
class Box:
    """An upright rectangle: left, top, right, bottom, mm."""

    left: float
    top: float
    right: float
    bottom: float

    @property
    def width(self) -> float:
        """Its width, mm."""
        return self.right - self.left

    @property
    def height(self) -> float:
        """Its height, mm."""
        return self.bottom - self.top

    @property
    def middle(self) -> Point2:
        """Its middle."""
        return (self.left + self.right) / 2, (self.top + self.bottom) / 2

    def meets(self, other: Box, gap: float = 0.0) -> bool:
        """Whether the two come nearer than a gap, or overlap."""
        return (
            self.left < other.right + gap
            and other.left < self.right + gap
            and self.top < other.bottom + gap
            and other.top < self.bottom + gap
        )

    def within(self, other: Box, slack: float = 1e-6) -> bool:
        """Whether it lies in another box."""
        return (
            self.left >= other.left - slack
            and self.top >= other.top - slack
            and self.right <= other.right + slack
            and self.bottom <= other.bottom + slack
        )

    def grown(self, by: float) -> Box:
        """Return the box, larger by so much on every side."""
        return Box(self.left - by, self.top - by, self.right + by, self.bottom + by)

    def shifted(self, dx: float, dy: float) -> Box:
        """Return the box elsewhere."""
        return Box(self.left + dx, self.top + dy, self.right + dx, self.bottom + dy)

    @staticmethod
    def around(points: Iterable[Point2]) -> Box:
        """Return the box around points."""
        xs, ys = zip(*points, strict=True)
        return Box(min(xs), min(ys), max(xs), max(ys))


@dataclass(frozen=True, slots=True)
class Stroke:
    """Rings (closed, cut-outs by the even-odd rule) or polylines in a style."""

    lines: tuple[tuple[Point2, ...], ...]
    style: str
    closed: bool = True


@dataclass(frozen=True, slots=True)
class Disc:
    """A circle in a style."""

    centre: Point2
    radius: float
    style: str


@dataclass(frozen=True, slots=True)
class TextLine:
    """One line of text; `at` is on its base line, at its start, middle or end; `upright` reads from below to above."""

    text: str
    at: Point2
    style: str = "words"
    size: float = NORMAL
    anchor: Anchor = "start"
    bold: bool = False
    upright: bool = False

    @property
    def box(self) -> Box:
        """What the line takes on paper."""
        wide = width_mm(self.text, self.size, self.bold)
        before = {"start": 0.0, "middle": wide / 2, "end": wide}[self.anchor]
        x, y = self.at
        up, down = 0.78 * self.size, 0.24 * self.size
        if self.upright:
            return Box(x - up, y - wide + before, x + down, y + before)
        return Box(x - before, y - up, x - before + wide, y + down)


@dataclass(frozen=True, slots=True)
class Group:
    """Marks that belong together, with an id and a title for whoever points at them; nothing shows outside `clip`, if given.

    `about` is what they show, for pages on which it can be picked: its sort and its id, as in ``piece:p3``.
    """

    marks: tuple[Mark, ...]
    id: str
    title: str = ""
    clip: Box | None = None
    about: str = ""


Mark = Stroke | Disc | TextLine | Group


@dataclass(frozen=True, slots=True)
class Picture:
    """A finished drawing: marks on a piece of paper, its upper left corner at (0, 0).

    Parameters
    ----------
    width, height : float
        mm of paper.
    marks : tuple of Mark
        Later ones lie over earlier ones.
    title, description : str
        For those who cannot see it.
    """

    width: float
    height: float
    marks: tuple[Mark, ...]
    title: str = ""
    description: str = ""

    @property
    def page(self) -> Box:
        """The paper."""
        return Box(0.0, 0.0, self.width, self.height)

    @property
    def words(self) -> tuple[TextLine, ...]:
        """Every text of it."""
        return tuple(words_of(self.marks))


def words_of(marks: Iterable[Mark]) -> Iterator[TextLine]:
    """Yield every text among marks, in order."""
    for mark in marks:
        if isinstance(mark, TextLine):
            yield mark
        elif isinstance(mark, Group):
            yield from words_of(mark.marks)


def shifted(marks: Iterable[Mark], dx: float, dy: float) -> Iterator[Mark]:
    """Yield the marks elsewhere on the paper."""

    def to(point: Point2) -> Point2:
        return point[0] + dx, point[1] + dy

    for mark in marks:
        if isinstance(mark, Stroke):
            yield Stroke(tuple(tuple(to(point) for point in line) for line in mark.lines), mark.style, mark.closed)
        elif isinstance(mark, Disc):
            yield Disc(to(mark.centre), mark.radius, mark.style)
        elif isinstance(mark, TextLine):
            yield TextLine(mark.text, to(mark.at), mark.style, mark.size, mark.anchor, mark.bold, mark.upright)
        else:
            clip = None if mark.clip is None else mark.clip.shifted(dx, dy)
            yield Group(tuple(shifted(mark.marks, dx, dy)), mark.id, mark.title, clip, mark.about)


def name_of(*words: object) -> str:
    """Return an id made of words: letters, digits and hyphens stay as they are, all else becomes a low line."""
    joined = "-".join(map(str, words))
    return "".join(c if c.isascii() and (c.isalnum() or c in "-_.") else "_" for c in joined)


def line(*points: Point2, style: str) -> Stroke:
    """Return one polyline."""
    return Stroke((points,), style, closed=False)


def rectangle(box: Box, style: str) -> Stroke:
    """Return a box as a ring."""
    corners = ((box.left, box.top), (box.right, box.top), (box.right, box.bottom), (box.left, box.bottom))
    return Stroke((corners,), style)


def arrow(tail: Point2, tip: Point2, style: str, head: float = 1.6) -> list[Mark]:
    """Return a shaft and a filled head with its tip at a place."""
    length = math.dist(tail, tip)
    if length < 1e-9:
        return []
    ux, uy = (tip[0] - tail[0]) / length, (tip[1] - tail[1]) / length
    foot = tip[0] - ux * head, tip[1] - uy * head
    wing = 0.32 * head
    corners = (tip, (foot[0] - uy * wing, foot[1] + ux * wing), (foot[0] + uy * wing, foot[1] - ux * wing))
    return [line(tail, foot, style=style), Stroke((corners,), f"{style}-head")]
