"""How errors at the locators move every part and every toleranced point, along chains of parts resting on parts.

An error source is a locator (with its stack): it is off along its normals by at most `errors_mm`. The table's face is
exact; a part contact is off by what the carrying part moves there. Influences of one source are added with their sign
along a chain; a point's worst case adds absolute values, the other figure is the root-sum-square.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from inventory.shapes import Array, Point3
from solver.accuracy.locator_matrix import EXACT, RANK_TOLERANCE, PartContacts, block_rows


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


def motions(
    parts: Sequence[PartContacts], sources: int, *, locators_first: bool = True, together: Sequence[Sequence[int]] = ()
) -> list[Motion]:
    """Return the motion of every part; a part comes after every part that carries it.

    Locators' rows are met first (least squares if there are more than they can all meet); what they leave free is
    settled by table and part corners, least squares again; what is free even then (the spin of a round part) stays.
    With `locators_first` off all rows are met together, least squares: the other reading of the rule.

    Parameters
    ----------
    parts : sequence of PartContacts
        In load order: `on` names earlier parts by their place in the sequence, or any of those located together with it.
    sources : int
        Number of error sources.
    together : sequence of sequences of int
        Parts (places in the sequence) located together: one system for all of them, their contacts with each other on the
        difference of their motions. What else they lean on leans on none of them.

    Raises
    ------
    ValueError
        If a part rests on one that comes later, or parts located together on each other by way of another.
    """
    groups = [tuple(group) for group in together]
    groups += [(index,) for index in range(len(parts)) if not any(index in group for group in together)]
    found: dict[int, Motion] = {}
    while groups:
        ready = next((group for group in groups if _leans_on(parts, group) <= found.keys()), None)
        if ready is None:
            raise ValueError(f"parts {sorted(k for group in groups for k in group)} rest on each other")
        found |= _moved_together(parts, ready, found, sources, locators_first)
        groups.remove(ready)
    return [found[index] for index in range(len(parts))]


def _leans_on(parts: Sequence[PartContacts], group: Sequence[int]) -> set[int]:
    """Return the parts outside a group that one of it rests on."""
    on = {place for index in group for place in parts[index].on.tolist() if place >= 0}
    if len(group) == 1 and max(on, default=-1) >= group[0]:
        raise ValueError(f"part {group[0]} rests on part {max(on)}, which is not placed before it")
    return on - set(group)


def _moved_together(
    parts: Sequence[PartContacts], group: Sequence[int], known: Mapping[int, Motion], sources: int, locators_first: bool
) -> dict[int, Motion]:
    """Return the motions of a group of parts, those of all they rest on outside it being known."""
    own = [parts[index] for index in group]
    about = [part.at.mean(axis=0) for part in own]
    arms = [max(1.0, float(np.linalg.norm(p.at - a, axis=1).max(initial=1.0))) for p, a in zip(own, about, strict=True)]
    rows = block_rows(own, group, about, arms)
    moved = np.concatenate([_displaced(part, group, known, sources) for part in own])
    locator = np.concatenate([part.source for part in own]) != EXACT
    if locators_first:
        answer = _first_then(rows[locator], moved[locator], rows[~locator], moved[~locator])
    else:
        answer = np.linalg.pinv(rows, rcond=RANK_TOLERANCE) @ moved
    found = {}
    for k, index in enumerate(group):
        motion = answer[6 * k : 6 * k + 6].copy()
        motion[3:] /= arms[k]
        found[index] = Motion(about[k], motion)
    return found


def _displaced(part: PartContacts, group: Sequence[int], known: Mapping[int, Motion], sources: int) -> Array:
    """Return how far each contact of a part is off along its normal per mm of each source, (K, S)."""
    moved = np.zeros((len(part.at), sources))
    locator = part.source != EXACT
    moved[np.flatnonzero(locator), part.source[locator]] = 1.0
    for k in np.flatnonzero(part.on >= 0).tolist():
        if int(part.on[k]) not in group:
            moved[k] = part.normal[k] @ known[int(part.on[k])].at(part.at[k])
    return moved


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
    """Return q, (6 a part, S): least squares on the first rows; in what they leave free, least squares on the others."""
    unknown = np.zeros((then.shape[1], then_moved.shape[1]))
    answer = np.linalg.pinv(first, rcond=RANK_TOLERANCE) @ first_moved if len(first) else unknown
    free = _null_space(first)
    if free.shape[1] and len(then):
        answer = answer + free @ (np.linalg.pinv(then @ free, rcond=RANK_TOLERANCE) @ (then_moved - then @ answer))
    return answer


def _null_space(rows: Array) -> Array:
    if not len(rows):
        return np.eye(rows.shape[1])
    _, singular, right = np.linalg.svd(rows)
    rank = int((singular > RANK_TOLERANCE).sum())
    return right[rank:].T
