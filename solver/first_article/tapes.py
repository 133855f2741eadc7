"""A tape between two parallel faces: where it is laid, what it reads, how far locating may put the reading off."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from inventory.shapes import Array
from solver.first_article.measures import ArticleKind, ArticleMeasure, ArticleTool
from solver.first_article.prediction import displacements, worst_and_rss
from solver.first_article.reach import FinishedWeldment, MeasuredFace
from solver.standards.iso13920 import LinearClass, linear_mm

BESIDE = 5.0
"""Ends of a tape that lie no farther beside each other than this more than the best do are as good, mm."""
STRAIGHTEDGE = 50.0
"""From here on a straightedge held against one face carries its plane across to the other, mm; practice, no source."""
MOST = 64
"""Places at which the prediction is looked at."""


@dataclass(frozen=True)
class Tape:
    """A tape from one face to a parallel one: its two ends, how far they lie beside each other, and its errors (R, n)."""

    start: MeasuredFace
    end: MeasuredFace
    ends: Array
    beside: float
    errors: Array

    @property
    def length(self) -> float:
        """What it reads, mm."""
        return abs(float((self.ends[1] - self.ends[0]) @ self.start.normal))

    @property
    def tool(self) -> ArticleTool:
        """What it takes to read it."""
        return "tape" if self.beside < STRAIGHTEDGE else "tape and straightedge"


def between(finished: FinishedWeldment, start: MeasuredFace, end: MeasuredFace) -> Tape:
    """Return the tape laid where it runs straightest; of those where locating puts it off the most, then the highest."""
    ends = _straight(finished, start, end)
    apart = _beside(ends, start.normal)
    ends, beside = _highest(ends[apart < apart.min() + BESIDE]), float(apart.min())
    along = np.sign(end.height * float(end.normal @ start.normal) - start.height) * start.normal
    moved = displacements(finished.readings, end.part, ends[:, 1], along)
    moved = moved - displacements(finished.readings, start.part, ends[:, 0], along)
    if not len(moved):
        return Tape(start, end, ends[0], beside, np.zeros((0, 0)))
    worst = int(np.argmax(np.round(np.abs(moved).sum(axis=2).max(axis=0), 6)))
    return Tape(start, end, ends[worst], beside, moved[:, worst])


def measured(finished: FinishedWeldment, kind: ArticleKind, tape: Tape, tolerance_class: LinearClass) -> ArticleMeasure:
    """Return the measure that a tape takes, with the general tolerance of its length."""
    said = f"from {tape.start.words} to {tape.end.words}"
    points = tuple(finished.point(face.part, face.words, at) for face, at in zip((tape.start, tape.end), tape.ends, strict=True))
    return ArticleMeasure(
        kind, f"overall, {said}" if kind == "overall" else said, tape.tool, points, round(tape.length, 3),
        linear_mm(tolerance_class, tape.length), f"ISO 13920 class {tolerance_class}, table 1", *worst_and_rss(tape.errors),
    )  # fmt: skip


def _straight(finished: FinishedWeldment, start: MeasuredFace, end: MeasuredFace) -> Array:
    """Return pairs of points (k, 2, 3) straight opposite each other, or all pairs of free spots if no two are."""
    step = (end.height * float(end.normal @ start.normal) - start.height) * start.normal
    there, back = start.spots + step, end.spots - step
    kept = end.holds(there) & finished.free(end.part, end.normal, there)
    kept_back = start.holds(back) & finished.free(start.part, start.normal, back)
    ends = np.concatenate([np.stack([start.spots, there], axis=1)[kept], np.stack([back, end.spots], axis=1)[kept_back]])
    if len(ends):
        return ends
    first, second = np.repeat(start.spots, len(end.spots), axis=0), np.tile(end.spots, (len(start.spots), 1))
    return np.stack([first, second], axis=1)


def _beside(ends: Array, direction: Array) -> Array:
    across = ends[:, 1] - ends[:, 0]
    found: Array = np.linalg.norm(across - (across @ direction)[:, None] * direction, axis=1)
    return found


def _highest(ends: Array) -> Array:
    """Return the pairs of points in view from above first, then from left to right and from near to far, not too many."""
    middles = np.round(ends.mean(axis=1), 3)
    return ends[np.lexsort((middles[:, 1], middles[:, 0], -middles[:, 2]))][:MOST]
