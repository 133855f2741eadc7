"""The figures that the rule book's sentences name: the numbers of the rules, and what a part or weldment asks for."""

from __future__ import annotations

import math
from dataclasses import dataclass
from types import SimpleNamespace
from typing import Any

import numpy as np

from solver.laying.laid_weldment import LaidPart, LaidWeldment
from solver.laying.requirements import clamps_needed, side_face, side_spacing, support_margin
from solver.rule_book.book import RuleBook

LYING = 0.5
"""A part whose length rises by less than this share lies."""


@dataclass(frozen=True, slots=True)
class PartFigures:
    """What a laid part asks for, as sentences name it: ``{part.low:.4g}``; lengths in mm."""

    laid: LaidWeldment
    part: LaidPart

    @property
    def low(self) -> float:
        """How high above the table the part begins."""
        return _whole(self.part.extent(np.array([0.0, 0.0, 1.0]))[0])

    @property
    def high(self) -> float:
        """How high above the table the part ends."""
        return _whole(self.part.extent(np.array([0.0, 0.0, 1.0]))[1])

    @property
    def clamps(self) -> str:
        """How many clamps it needs, in words: ``2 clamps``."""
        count = clamps_needed(self.laid, self.part)
        return f"{count} clamp{'s' if count > 1 else ''}"

    @property
    def margin(self) -> float:
        """How far inside its supports' outline its centre of gravity must lie."""
        return support_margin(self.laid, self.part)

    @property
    def side_spacing(self) -> float:
        """How far apart the outermost points of its side must be, the longer of its two sides taken."""
        normals = [np.array([math.cos(a), math.sin(a), 0.0]) for a in np.radians([0.0, 90.0])]
        return max(side_spacing(self.laid, self.part, normal) for normal in normals)

    @property
    def side_face(self) -> float:
        """How long the face under its outermost side points must be."""
        return side_face(self.laid, self.part)

    @property
    def lying_round(self) -> bool:
        """Whether it is a round part that lies."""
        return self.part.part.section.round and abs(float(self.part.frame[2, 2])) < LYING


def _whole(height: float) -> float:
    """Return a height without the rounding of the turn that laid the part: 0, not 4e-15."""
    return round(height, 6) + 0.0


def figures_of(rules: RuleBook, subject: str, part: PartFigures | None = None, **more: Any) -> dict[str, Any]:
    """Return all figures a sentence may name: every rule's number by dotted name, the subject, a part's, and `more`."""
    groups: dict[str, dict[str, float]] = {}
    for name, value in rules.resolved().items():
        group, _, rest = name.partition(".")
        groups.setdefault(group, {})[rest] = value
    found: dict[str, Any] = {group: SimpleNamespace(**values) for group, values in groups.items()}
    if part is not None:
        found["part"] = part
    return {**found, "subject": subject, **more}
