"""Convex point sets by the thousand, as arrays: moved, swept, chosen, joined; their bounds and their shape."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from inventory.shapes import Array

Index = NDArray[np.intp]
Flags = NDArray[np.bool_]
SMALL = 1e-12
SAME = 1e-9
"""Points this near to a hull's bounds lie on them, mm."""
KNOWN = ("boxes", "box_shaped", "straight")
"""What is found of hulls once and stays true of them moved, chosen or joined."""


@dataclass(frozen=True)
class Hulls:
    """Convex hulls given by their points.

    Parameters
    ----------
    points : (n, 3) array
        All points, hull after hull, mm.
    first, count : (m,) arrays
        Where each hull's points start, and how many there are.
    owner : (m,) array
        What each hull belongs to (an index the caller chose).
    """

    points: Array
    first: Index
    count: Index
    owner: Index

    @staticmethod
    def of(pieces: Sequence[Array], owners: Sequence[int] | Index) -> Hulls:
        """Return hulls from one (k, 3) array of points each."""
        count = np.array([len(piece) for piece in pieces], dtype=np.intp)
        points = np.concatenate(pieces) if len(pieces) else np.zeros((0, 3))
        return Hulls(points, np.cumsum(count) - count, count, np.array(owners, dtype=np.intp))

    @staticmethod
    def copies(bodies: Sequence[Hulls], which: Index, at: Array, owners: Index) -> Hulls:
        """Return one of several bodies (`which`, an index) at each of some places (n, 3), all hulls of a place its owner's."""
        many = np.array([len(body) for body in bodies], dtype=np.intp)
        first, count = (np.cumsum(many) - many)[which], many[which]
        place = np.repeat(np.arange(len(which)), count)
        rows = first[place] + np.arange(len(place)) - np.repeat(np.cumsum(count) - count, count)
        found = joined(bodies).take(rows).shifted(at[place])
        return replace(found, owner=owners[place])._known(found.boxes, found.box_shaped, found.straight)

    def __len__(self) -> int:
        return len(self.count)

    def _known(self, boxes: Array, box_shaped: Flags, straight: Flags) -> Hulls:
        """Take bounds and shape as known from where the hulls come from, so that they are not found anew."""
        self.__dict__.update(boxes=boxes, box_shaped=box_shaped, straight=straight)
        return self

    def each(self) -> list[Array]:
        """Return every hull's points."""
        return [self.points[first : first + count] for first, count in zip(self.first, self.count, strict=True)]

    @cached_property
    def boxes(self) -> Array:
        """Axis-aligned bounds, (m, 2, 3): lowest and highest corner of each hull."""
        if not len(self):
            return np.zeros((0, 2, 3))
        low = np.minimum.reduceat(self.points, self.first)
        high = np.maximum.reduceat(self.points, self.first)
        return np.stack([low, high], axis=1)

    @cached_property
    def box_shaped(self) -> Flags:
        """Which hulls are boxes along the axes: eight points, all at corners of their bounds, (m,)."""
        if not len(self):
            return np.zeros(0, dtype=bool)
        eight = np.flatnonzero(self.count == 8)
        points = self.points[self.first[eight][:, None] + np.arange(8)]
        low, high = self.boxes[eight, None, 0], self.boxes[eight, None, 1]
        found = np.zeros(len(self), dtype=bool)
        found[eight] = ((np.abs(points - low) < SAME) | (np.abs(points - high) < SAME)).all(axis=(1, 2))
        return found

    @cached_property
    def straight(self) -> Flags:
        """Along which axes hulls are prisms: all points at both ends, one end's opposite the other's, (m, 3)."""
        found = np.repeat(self.box_shaped[:, None], 3, axis=1)
        for axis in range(3) if not self.box_shaped.all() else ():
            low, high = (np.repeat(self.boxes[:, side, axis], self.count) for side in (0, 1))
            at_low, at_high = self.points[:, axis] - low < SAME, high - self.points[:, axis] < SAME
            found[:, axis] |= np.logical_and.reduceat(at_low & at_high, self.first)
            halves = 2 * np.add.reduceat(at_low.astype(np.intp), self.first) == self.count
            halves &= np.logical_and.reduceat(at_low | at_high, self.first) & ~found[:, axis]
            found[halves, axis] = self.take(halves)._ends_alike(axis) if halves.any() else False
        return found

    def _ends_alike(self, axis: int) -> Flags:
        """Return of which hulls, half their points at either end of an axis, both ends are the same."""
        level = np.round(np.delete(self.points, axis, axis=1), 6)
        order = np.lexsort((level[:, 1], level[:, 0], self.points[:, axis], np.repeat(np.arange(len(self)), self.count)))
        half = self.count // 2
        low = np.repeat(self.first - np.cumsum(half) + half, half) + np.arange(half.sum())
        differ = np.abs(level[order[low]] - level[order[low + np.repeat(half, half)]]).max(axis=1) > 2e-6
        alike: Flags = ~np.logical_or.reduceat(differ, np.cumsum(half) - half)
        return alike

    def shifted(self, offset: Array) -> Hulls:
        """Return the hulls moved by one offset (3,) or one offset a hull (m, 3)."""
        move = np.repeat(offset, self.count, axis=0) if offset.ndim == 2 else offset
        moved = Hulls(self.points + move, self.first, self.count, self.owner)
        return moved._known(self.boxes + (offset[:, None, :] if offset.ndim == 2 else offset), self.box_shaped, self.straight)

    def owned(self, owner: int) -> Hulls:
        """Return the hulls as what belongs to one owner."""
        found = Hulls(self.points, self.first, self.count, np.full(len(self), owner, dtype=np.intp))
        found.__dict__.update({name: known for name, known in self.__dict__.items() if name in KNOWN})
        return found

    def take(self, chosen: Index | Flags) -> Hulls:
        """Return only the chosen hulls."""
        chosen = np.flatnonzero(chosen) if chosen.dtype == bool else chosen
        count = self.count[chosen]
        first = np.cumsum(count) - count
        rows = np.repeat(self.first[chosen] - first, count) + np.arange(count.sum())
        found = Hulls(self.points[rows], first, count, self.owner[chosen])
        found.__dict__.update({name: known[chosen] for name, known in self.__dict__.items() if name in KNOWN})
        return found

    def play(self, ease: float, share: float) -> Array:
        """Return how much slimmer (m,) a body may be taken that fills a round hole: `ease` (mm) and a share of its width."""
        width = (self.boxes[:, 1, :2] - self.boxes[:, 0, :2]).max(axis=1) if len(self) else np.zeros(0)
        allowed: Array = ease + share * width
        return allowed

    def slimmer(self, by: Array) -> Hulls:
        """Return each hull with its points drawn in level towards its middle, by one distance a hull (m,), mm."""
        middle = np.add.reduceat(self.points, self.first) / self.count[:, None] if len(self) else np.zeros((0, 3))
        away = self.points - np.repeat(middle, self.count, axis=0)
        away[:, 2] = 0.0
        length = np.maximum(np.linalg.norm(away, axis=1), SMALL)
        drawn = self.points - away * np.minimum(1.0, np.repeat(by, self.count) / length)[:, None]
        return Hulls(drawn, self.first, self.count, self.owner)

    def swept(self, move: Array) -> Hulls:
        """Return each hull swept along a straight move (3,), or along one move a hull (m, 3).

        A box along the axes that moves along one of them stays a box.
        """
        if move.ndim == 1 and np.count_nonzero(move) == 1 and self.box_shaped.any():
            boxes, others = np.flatnonzero(self.box_shaped), np.flatnonzero(~self.box_shaped)
            order = np.argsort(np.concatenate([boxes, others]))
            return joined([self.take(boxes)._stretched(move), self.take(others)._swept(move)]).take(order)
        return self._swept(move)

    def _stretched(self, move: Array) -> Hulls:
        """Return boxes along the axes made longer by a move (3,) along one of them."""
        low, high = np.minimum(self.boxes[:, 0], self.boxes[:, 0] + move), np.maximum(self.boxes[:, 1], self.boxes[:, 1] + move)
        corners = np.array([[a, b, c] for a in (0, 1) for b in (0, 1) for c in (0, 1)], dtype=bool)
        points = np.where(corners[None, :, :], high[:, None, :], low[:, None, :]).reshape(-1, 3)
        return Hulls(points, 8 * np.arange(len(self)), np.full(len(self), 8, dtype=np.intp), self.owner)

    def _swept(self, move: Array) -> Hulls:
        """Return each hull's points where they are and where they come to."""
        moves = np.broadcast_to(move, (len(self), 3))
        count = 2 * self.count
        first = np.cumsum(count) - count
        owner_of_point = np.repeat(np.arange(len(self)), self.count)
        place = np.arange(len(self.points)) + self.first_gap(first, owner_of_point)
        points = np.empty((2 * len(self.points), 3))
        points[place] = self.points
        points[place + self.count[owner_of_point]] = self.points + moves[owner_of_point]
        found = Hulls(points, first, count, self.owner)
        found.__dict__["straight"] = self.straight & _keeps_straight(moves)
        return found

    def first_gap(self, first: Index, owner_of_point: Index) -> Index:
        """Return how far each point moves when its hull starts at `first` instead."""
        gap: Index = first[owner_of_point] - self.first[owner_of_point]
        return gap


def _keeps_straight(moves: Array) -> Flags:
    """Return along which axes a prism stays one when it is swept along moves (m, 3): a move along the axis, or square to it."""
    still = np.abs(moves) < SMALL
    kept: Flags = still | (np.count_nonzero(~still, axis=1) == 1)[:, None]
    return kept


def joined(parts: Sequence[Hulls]) -> Hulls:
    """Return several sets of hulls as one, owners kept."""
    if not parts:
        return Hulls.of([], [])
    count = np.concatenate([part.count for part in parts])
    points, owner = np.concatenate([part.points for part in parts]), np.concatenate([part.owner for part in parts])
    found = Hulls(points, np.cumsum(count) - count, count, owner)
    known = (np.concatenate([getattr(part, name) for part in parts]) for name in KNOWN)
    return found._known(*known)
