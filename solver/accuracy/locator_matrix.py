"""The locator matrix of one part: what its contacts fix, how well, and how far errors at the contacts move it.

Row of a contact: [n, (r x n)], n its unit normal into the part, r from the part's reference point. A contact displaced
by d along its normal moves the part by q = (translation, rotation) with row.q = d. Source: Asada & By 1985, Cai, Hu &
Yuan 1997 (the deterministic-locating condition: full rank); condition number on rows scaled by the part's size.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations
from math import comb

import numpy as np
from numpy.typing import NDArray

from inventory.shapes import Array

EXACT = -1
RANK_TOLERANCE = 1e-7
SUBSETS_MAX = 12000


@dataclass(frozen=True, slots=True)
class Axis:
    """A round part's axis: a point of it, mm, and its direction, (3,) each."""

    point: Array
    direction: Array


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
class LocatingState:
    """How well a part is located: rank of its matrix, what rank it needs, and its condition number."""

    rank: int
    needed: int
    condition: float

    @property
    def full(self) -> bool:
        """Whether nothing is left free (a round part may spin about its own axis)."""
        return self.rank == self.needed


def locator_matrix(at: Array, normal: Array, about: Array, scale_mm: float = 1.0) -> Array:
    """Return rows [n, (r x n) / scale], (K, 6).

    Parameters
    ----------
    at, normal : (K, 3)
        Contact points, mm, and unit normals into the part.
    about : (3,)
        Reference point, mm.
    scale_mm : float
        Length that makes rotations comparable with translations; 1 keeps radians.
    """
    return np.concatenate([normal, np.cross(at - about, normal) / scale_mm], axis=1)


def block_rows(parts: Sequence[PartContacts], names: Sequence[int], about: Sequence[Array], scales_mm: Sequence[float]) -> Array:
    """Return the rows of parts located together, (K, 6 a part), in the order of parts and of their contacts.

    Parameters
    ----------
    parts : sequence of PartContacts
        Their contacts; one on another of them is a row on the difference of the two parts' motions.
    names : sequence of int
        What each is called by the others' `on`.
    about, scales_mm : sequences
        Each part's reference point, mm, and the length that makes its rotations comparable, mm.
    """
    blocks = []
    for k, part in enumerate(parts):
        block = np.zeros((len(part.at), 6 * len(parts)))
        block[:, 6 * k : 6 * k + 6] = locator_matrix(part.at, part.normal, about[k], scales_mm[k])
        for other, name in enumerate(names):
            rows = np.flatnonzero((part.on == name) & (other != k))
            block[rows, 6 * other : 6 * other + 6] = -locator_matrix(
                part.at[rows], part.normal[rows], about[other], scales_mm[other]
            )
        blocks.append(block)
    return np.concatenate(blocks)


def locating_state(
    at: Array, normal: Array, centre: Array, gyration_mm: float, spin: Axis | None = None, enough: float = 0.0
) -> LocatingState:
    """Return rank and condition of a part's contacts.

    Parameters
    ----------
    at, normal : (K, 3)
        One row per locator (at its locating point), one per corner of a table or part contact.
    centre, gyration_mm : (3,) and float
        Centre of gravity and radius of gyration, sqrt(trace(I) / 2m), mm: rows are taken about the one, scaled by the other.
    spin : Axis, optional
        Axis of a round_tube or round_bar: turning about it is left out (five degrees of freedom remain).
    enough : float
        The best rows are not sought if all rows together are conditioned at least this well.

    Returns
    -------
    LocatingState
        Condition is the smaller of all rows and of the best rows, as many as are needed; every choice is tried up to
        12000 of them, beyond that a greedy choice improved by exchange (never better than the truth); inf without
        full rank.
    """
    rows = locator_matrix(at, normal, centre, gyration_mm)
    basis = np.eye(6) if spin is None else _without_spin(spin.point - centre, spin.direction, gyration_mm)
    return state_of_rows(rows @ basis, enough)


def state_of_rows(rows: Array, enough: float = 0.0) -> LocatingState:
    """Return rank and condition of scaled rows, of one part or of several located together; `enough` as in `locating_state`."""
    needed = rows.shape[1]
    singular = np.linalg.svd(rows, compute_uv=False) if len(rows) else np.zeros(0)
    rank = int((singular > RANK_TOLERANCE).sum())
    if rank < needed:
        return LocatingState(rank, needed, float("inf"))
    condition = float(singular[0] / singular[needed - 1])
    return LocatingState(rank, needed, condition if condition <= enough else min(condition, float(_best_subset(rows))))


def weakest_motion(at: Array, normal: Array, centre: Array, gyration_mm: float, spin: Axis | None = None) -> Array:
    """Return the scaled motion (6,), of length 1, that a part's contacts resist least: rows @ motion is how much each does.

    Parameters are those of `locating_state`; turning about the spin axis is left out.
    """
    basis = np.eye(6) if spin is None else _without_spin(spin.point - centre, spin.direction, gyration_mm)
    rows = locator_matrix(at, normal, centre, gyration_mm) @ basis
    motion: Array = basis @ np.linalg.svd(rows, full_matrices=True)[2][-1]
    return motion


def _without_spin(lever: Array, axis: Array, gyration_mm: float) -> Array:
    """Return an orthonormal basis (6, 5) of the scaled motions square to turning about an axis."""
    axis = axis / np.linalg.norm(axis)
    spin = np.concatenate([-np.cross(axis, lever), axis * gyration_mm])
    return np.linalg.svd((spin / np.linalg.norm(spin))[None, :])[2][1:].T


def _best_subset(rows: Array) -> float:
    """Return the least condition number over choices of as many rows as there are columns."""
    rows = np.unique(np.round(rows, 9), axis=0)
    count, needed = rows.shape
    if comb(count, needed) <= SUBSETS_MAX:
        return float(_conditions(rows[np.array(list(combinations(range(count), needed)))]).min())
    chosen = _farthest_apart(rows, needed)
    best = float(_conditions(rows[None, chosen])[0])
    while True:
        trials = [[*chosen[:k], other, *chosen[k + 1 :]] for k in range(needed) for other in range(count) if other not in chosen]
        found = _conditions(rows[np.array(trials)])
        least = int(found.argmin())
        if found[least] >= best * (1 - 1e-9):
            return best
        best, chosen = float(found[least]), trials[least]


def _conditions(stack: Array) -> Array:
    singular = np.linalg.svd(stack, compute_uv=False)
    with np.errstate(divide="ignore"):
        return np.where(singular[:, -1] > RANK_TOLERANCE, singular[:, 0] / np.maximum(singular[:, -1], 1e-300), np.inf)


def _farthest_apart(rows: Array, needed: int) -> list[int]:
    """Return rows chosen one after the other, each the farthest from the span of those before."""
    left = rows.copy()
    chosen: list[int] = []
    for _ in range(needed):
        size = np.linalg.norm(left, axis=1)
        size[chosen] = -1.0
        chosen.append(int(size.argmax()))
        direction = left[chosen[-1]] / size[chosen[-1]]
        left = left - np.outer(left @ direction, direction)
    return chosen
