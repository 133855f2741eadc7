"""What there is to see of a weldment in the making: its sound parts and welds, and seams that carry no weld yet."""

from __future__ import annotations

from dataclasses import dataclass

from inventory.shapes import Point3
from solver.weldment import LengthUnit, Part, Weld


@dataclass(frozen=True, slots=True)
class ShownSeam:
    """A seam that could be welded: its number among all, its path in the weldment's frame (mm), and what it is in words.

    `label` is written beside it, nothing if it is empty; `picked` is whether it is among those that are chosen.
    """

    number: int
    path: tuple[Point3, ...]
    words: str
    label: str = ""
    picked: bool = False


@dataclass(frozen=True, slots=True)
class ShownBox:
    """Where something lies of which no more is known: least and greatest x, y and z, mm, and what it is in words."""

    low: Point3
    high: Point3
    words: str


@dataclass(frozen=True, slots=True)
class ShownWeldment:
    """A weldment in the making.

    Parameters
    ----------
    parts, welds : tuples of (number, value)
        Those that are sound, each with its place in the document's list.
    chosen : str
        What is picked, as ``part:0``, ``weld:2`` or ``seam:3``; empty if nothing is.
    at_fault : set of str
        What is to be mended, as `chosen` names it.
    boxes : tuple of ShownBox
        What is no part.
    """

    name: str
    units: LengthUnit
    parts: tuple[tuple[int, Part], ...]
    welds: tuple[tuple[int, Weld], ...] = ()
    seams: tuple[ShownSeam, ...] = ()
    chosen: str = ""
    at_fault: frozenset[str] = frozenset()
    boxes: tuple[ShownBox, ...] = ()
