"""Contact points, clamps and part weights as plain arrays: what may push on what.

Everything is in the table frame, mm and N. A part is an index 0..P-1; ground (the slab and everything bolted to it) is -1.
An owner is the index of the candidate placement that brings a contact or clamp, or `ALWAYS` for what is there anyway.
"""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any, NamedTuple, Self

import numpy as np
from numpy.typing import NDArray

from inventory.shapes import Array

Index = NDArray[np.intp]
Mask = NDArray[np.bool_]
GROUND = -1
ALWAYS = -1
UNCAPPED = -1
CONE_SIDES = 8


class ContactPoint(NamedTuple):
    """One patch corner: `normal` (unit) points into `part`; the reaction acts on `other` (or ground)."""

    part: int
    at: Sequence[float]
    normal: Sequence[float]
    other: int = GROUND
    owner: int = ALWAYS
    cap_group: int = UNCAPPED


class ClampForce(NamedTuple):
    """A clamp's tip on `part`: rated `force_n` at `at` along `direction` (unit)."""

    part: int
    at: Sequence[float]
    direction: Sequence[float]
    force_n: float
    owner: int = ALWAYS


@dataclass(frozen=True, slots=True)
class PartWeights:
    """Centres of gravity (P, 3), mm, and weights (P,), N; gravity acts along -z."""

    centres: Array
    weights_n: Array

    def __len__(self) -> int:
        return len(self.weights_n)


class _Brought(ABC):
    """Rows of arrays, each brought by a candidate (`owner`) or always there."""

    __slots__ = ()
    owner: Index

    def __len__(self) -> int:
        return len(self.owner)

    @abstractmethod
    def where(self, mask: Mask) -> Self:
        """Return the rows of a mask."""

    def chosen(self, owners: Iterable[int]) -> Self:
        """Return the rows that are always there and those of the chosen candidates."""
        return self.where(np.isin(self.owner, np.array([ALWAYS, *owners], dtype=np.intp)))


@dataclass(frozen=True, slots=True)
class Contacts(_Brought):
    """Unilateral contact points with friction, one row each.

    Parameters
    ----------
    part, other : (K,) int
        The part the normal points into, and what pushes it (`GROUND` or another part).
    at, normal : (K, 3)
        Where, mm, and the unit normal into `part`.
    owner : (K,) int
        The candidate that brings the point; `ALWAYS` for table and part contacts.
    group : (K,) int
        Points of one capped locator share a group; `UNCAPPED` if the normal force has no limit.
    caps_n : (G,)
        Largest sum of normal forces over a group, N (stack stiffness x allowed deflection).
    """

    part: Index
    other: Index
    at: Array
    normal: Array
    owner: Index
    group: Index
    caps_n: Array

    @classmethod
    def of(cls, points: Iterable[ContactPoint], caps_n: Sequence[float] = ()) -> Contacts:
        """Gather points, listed one by one, into arrays."""
        part, at, normal, other, owner, group = _columns(list(points), 6)
        pushed, by, whose, capped = (np.array(column, dtype=np.intp) for column in (part, other, owner, group))
        where, along = (np.array(column, dtype=float).reshape(-1, 3) for column in (at, normal))
        return cls(pushed, by, where, along, whose, capped, np.array(caps_n, dtype=float))

    def where(self, mask: Mask) -> Self:
        """Return the points of a mask; groups keep their numbers."""
        rows = {name: getattr(self, name)[mask] for name in ("part", "other", "at", "normal", "owner", "group")}
        return replace(self, **rows)


@dataclass(frozen=True, slots=True)
class Clamps(_Brought):
    """Shut clamps, one row each: tip `at` (C, 3), unit `direction` (C, 3), rated `force_n` (C,), `part` and `owner` (C,)."""

    part: Index
    at: Array
    direction: Array
    force_n: Array
    owner: Index

    @classmethod
    def of(cls, clamps: Iterable[ClampForce]) -> Clamps:
        """Gather clamps, listed one by one, into arrays."""
        part, at, direction, force_n, owner = _columns(list(clamps), 5)
        tip, push = np.array(at, dtype=float).reshape(-1, 3), np.array(direction, dtype=float).reshape(-1, 3)
        return cls(np.array(part, np.intp), tip, push, np.array(force_n, dtype=float), np.array(owner, np.intp))

    def where(self, mask: Mask) -> Self:
        """Return the clamps of a mask."""
        return replace(
            self, part=self.part[mask], at=self.at[mask], direction=self.direction[mask], force_n=self.force_n[mask],
            owner=self.owner[mask],
        )  # fmt: skip


@dataclass(frozen=True)
class ContactSystem:
    """Everything that pushes on the parts while all are loaded and the clamps shut; `friction` is the cone's slope."""

    part_weights: PartWeights
    contacts: Contacts
    clamps: Clamps
    friction: float

    @cached_property
    def rubbing(self) -> Array:
        """The directions in which each contact rubs, (K, 8, 3)."""
        return tangents(self.contacts.normal)

    @cached_property
    def tips_rubbing(self) -> Array:
        """The directions in which each clamp's tip rubs, (C, 8, 3)."""
        return tangents(self.clamps.direction)

    def chosen(self, owners: Iterable[int]) -> ContactSystem:
        """Return the contact system with only the chosen candidates' contacts and clamps (and what is always there)."""
        ids = list(owners)
        return ContactSystem(self.part_weights, self.contacts.chosen(ids), self.clamps.chosen(ids), self.friction)


def patch_points(
    part: int,
    patch: Sequence[Sequence[float]],
    normal: Sequence[float],
    other: int = GROUND,
    owner: int = ALWAYS,
    cap_group: int = UNCAPPED,
) -> list[ContactPoint]:
    """Return one contact point for every corner of a patch."""
    return [ContactPoint(part, corner, normal, other, owner, cap_group) for corner in patch]


def cross(one: Array, other: Array) -> Array:
    """Return the products of vectors (..., 3), quicker than numpy's own for few of them."""
    ax, ay, az = one[..., 0], one[..., 1], one[..., 2]
    bx, by, bz = other[..., 0], other[..., 1], other[..., 2]
    return np.stack([ay * bz - az * by, az * bx - ax * bz, ax * by - ay * bx], axis=-1)


def tangents(normals: Array) -> Array:
    """Return the `CONE_SIDES` unit directions square to each normal, (K, 8, 3).

    The first runs level (z x normal; x for a vertical normal), so that on a level or upright face the cone is exact
    along the edges of the face; the inscribed octagon keeps at least cos(22.5 deg) = 92 % of the cone elsewhere.
    """
    level = np.stack([-normals[:, 1], normals[:, 0], np.zeros(len(normals))], axis=1)
    length = np.linalg.norm(level, axis=1)
    upright = length < 1e-9
    level[upright] = (1.0, 0.0, 0.0)
    level /= np.where(upright, 1.0, length)[:, None]
    across = cross(normals, level)
    angles = np.arange(CONE_SIDES) * (2 * np.pi / CONE_SIDES)
    turned = np.cos(angles)[:, None] * level[:, None, :] + np.sin(angles)[:, None] * across[:, None, :]
    return np.where(np.abs(turned) < 1e-15, 0.0, turned)


def _columns(rows: Sequence[tuple[Any, ...]], count: int) -> list[tuple[Any, ...]]:
    """Return rows of `count` entries column by column."""
    return list(zip(*rows, strict=True)) if rows else [()] * count
