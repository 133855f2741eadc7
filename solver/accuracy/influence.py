"""How errors at the locators move every part and every toleranced point, along chains of parts resting on parts.

An error source is a locator (with its stack): it is off along its normals by at most `errors_mm`. The table's face is
exact; a part contact is off by what the carrying part moves there. Influences of one source are added with their sign
along a chain; a point's worst case adds absolute values, the other figure is the root-sum-square.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from inventory.shapes import Array, Point3
from solver.accuracy.locator_matrix import RANK_TOLERANCE

EXACT = -1


@dataclass(frozen=True, slots=True)
class PartContacts:
    """What locates one part, one row a contact point.

    Parameters
    ----------
    at, normal : (K, 3)
        Where, mm, and the unit normal into the part.
    source : (K,) int
        The error source of a locator's row; `EXACT` for the table's face and for part contacts.
    on : (K,) int
        The carrying part of a part contact; -1 otherwise.
    """

    at: Array
    normal: Array
    source: NDArray[np.intp]
    on: NDArray[np.intp]


@dataclass(frozen=True, slots=True)
class Motion:
    """How one part moves per mm of each source: translation of `about` and rotation, (6, S)."""

    about: Array
    per_source: Array

    def at(self, point: Array) -> Array:
        """Return the displacement of a point of the part per mm of each source, (3, S)."""
        turn = self.per_source[3:]
        moved: Array = self.per_source[:3] + np.cross(turn, point - self.about, axisa=0, axisc=0)
        return moved


@dataclass(frozen=True, slots=True)
class PointDeviation:
    """Displacement of a point along a direction caused by locating alone, mm, and the part each source has in it."""

    worst_mm: float
    rss_mm: float
    shares_mm: Array


def motions(parts: Sequence[PartContacts], sources: int, *, locators_first: bool = True) -> list[Motion]:
    """Return the motion of every part; a part comes after every part that carries it.

    Locators' rows are met first (least squares if there are more than they can all meet); what they leave free is
    settled by table and part corners, least squares again; what is free even then (the spin of a round part) stays.
    With `locators_first` off all rows are met together, least squares: the other reading of the rule.

    Parameters
    ----------
    parts : sequence of PartContacts
        In load order: `on` names earlier parts by their place in the sequence.
    sources : int
        Number of error sources.

    Raises
    ------
    ValueError
        If a part rests on one that comes later.
    """
    found: list[Motion] = []
    for index, part in enumerate(parts):
        if part.on.max(initial=-1) >= index:
            raise ValueError(f"part {index} rests on part {int(part.on.max())}, which is not placed before it")
        about = part.at.mean(axis=0)
        arm = max(1.0, float(np.linalg.norm(part.at - about, axis=1).max(initial=1.0)))
        rows = np.concatenate([part.normal, np.cross(part.at - about, part.normal) / arm], axis=1)
        moved = np.zeros((len(rows), sources))
        locator = part.source != EXACT
        moved[np.flatnonzero(locator), part.source[locator]] = 1.0
        for k in np.flatnonzero(part.on >= 0):
            moved[k] = part.normal[k] @ found[part.on[k]].at(part.at[k])
        if locators_first:
            answer = _first_then(rows[locator], moved[locator], rows[~locator], moved[~locator])
        else:
            answer = np.linalg.pinv(rows, rcond=RANK_TOLERANCE) @ moved
        answer[3:] /= arm
        found.append(Motion(about, answer))
    return found


def point_deviation(
    motion: Motion, point: Point3, direction: Point3, errors_mm: Array, relative_to: Motion | None = None
) -> PointDeviation:
    """Return the error of a point along a direction; with `relative_to` the difference of the two parts, source by source.

    Parameters
    ----------
    motion : Motion
        Of the toleranced part.
    point, direction : 3 numbers
        Where, mm, and along what (unit).
    errors_mm : (S,)
        Largest error of each source: repeatabilities along the stack plus residuals and play.
    relative_to : Motion, optional
        The part the tolerance refers to.
    """
    moved = motion.at(np.array(point, dtype=float))
    if relative_to is not None:
        moved = moved - relative_to.at(np.array(point, dtype=float))
    shares = (np.array(direction, dtype=float) @ moved) * errors_mm
    return PointDeviation(float(np.abs(shares).sum()), float(np.sqrt(np.square(shares).sum())), shares)


def source_error_mm(repeatabilities_mm: Sequence[float], residual_mm: float = 0.0, play_mm: float = 0.0) -> float:
    """Return the largest error of one locator: repeatabilities along its stack add, with the residual of its increment
    (how far the nearest step is from the setting wanted) and the play of pegs in holes, if it is given."""
    return float(sum(repeatabilities_mm)) + abs(residual_mm) + play_mm


def _first_then(first: Array, first_moved: Array, then: Array, then_moved: Array) -> Array:
    """Return q, (6, S): least squares on the first rows; in what they leave free, least squares on the others."""
    answer = np.linalg.pinv(first, rcond=RANK_TOLERANCE) @ first_moved if len(first) else np.zeros((6, then_moved.shape[1]))
    free = _null_space(first)
    if free.shape[1] and len(then):
        answer = answer + free @ (np.linalg.pinv(then @ free, rcond=RANK_TOLERANCE) @ (then_moved - then @ answer))
    return answer


def _null_space(rows: Array) -> Array:
    if not len(rows):
        return np.eye(6)
    _, singular, right = np.linalg.svd(rows)
    rank = int((singular > RANK_TOLERANCE).sum())
    return right[rank:].T
