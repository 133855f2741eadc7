"""What one station is to the others: its bodies wherever it stands, and what of its own ways and torch directions they shut."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property, partial

import numpy as np

from inventory.shapes import Array
from inventory.tables import Hole
from solver.access.between_stations import Offset, half_turned
from solver.access.route_blockers import swept_along
from solver.access.routes import Routes
from solver.access.torch import TorchDirections, torch_blocks
from solver.geometry.hulls import Flags, Hulls, Index, joined
from solver.geometry.proximity import box_pairs, near
from solver.geometry.tolerances import EQUAL
from solver.hardware.candidates import Lattice
from solver.laying.laid_weldment import LaidWeldment
from solver.laying.straight_moves import LazyRoutes, Route

PART = -1
"""The owner of the parts' bodies."""


@dataclass
class StationBodies:
    """One choice as its copies meet it, in the lie frame.

    Parameters
    ----------
    shut, opened : Hulls
        The chosen candidates' bodies, clamps shut; of clamps, open.
    pegs : mapping
        The holes that each of them takes.
    pulled : set of int
        Those whose top piece may be pulled.
    """

    laid: LaidWeldment
    lattice: Lattice
    torch: TorchDirections
    routes: Routes
    shut: Hulls
    opened: Hulls
    pegs: Mapping[int, Sequence[Hole]]
    pulled: frozenset[int]
    _at: dict[Offset, Hulls] = field(default_factory=dict)
    _near: dict[Offset, frozenset[tuple[int, int]]] = field(default_factory=dict)
    _torch_shut: dict[Offset, Index] = field(default_factory=dict)
    _ways: dict[int, LazyRoutes] = field(default_factory=dict)
    _sweeps: dict[tuple[int, int], Hulls] = field(default_factory=dict)
    _way_free: dict[tuple[int, int, Offset], bool] = field(default_factory=dict)

    @property
    def chosen(self) -> tuple[int, ...]:
        """The candidates that stand, in order."""
        return tuple(self.pegs)

    @cached_property
    def bodies(self) -> Hulls:
        """All bodies, clamps both shut and open: parts have the owner `PART`."""
        return joined([self.laid.hulls.owned(PART), self.shut, self.opened])

    def at(self, offset: Offset) -> Hulls:
        """Return the bodies of another station at an offset."""
        if offset not in self._at:
            self._at[offset] = moved_to(self.bodies, offset, self.lattice)
        return self._at[offset]

    def apart_by_bounds(self, offset: Offset) -> bool:
        """Return whether the bounds of two stations alone keep them clear of each other."""
        (low, high), (other_low, other_high) = _bounds(self.bodies), _bounds(self.at(offset))
        clear = self.laid.rules["clear.body"]
        return bool(((other_low - high >= clear) | (low - other_high >= clear)).any())

    def too_near(self, offset: Offset) -> frozenset[tuple[int, int]]:
        """Return the pairs of owners, this station's and the other's, that come too near each other or share a hole."""
        if offset not in self._near:
            found = self._sharing_holes(offset)
            if not self.apart_by_bounds(offset):
                other, clear = self.at(offset), self.laid.rules["clear.body"]
                i, j = box_pairs(self.bodies.boxes, other.boxes, clear)
                hit = near(self.bodies, i, other, j, clear + EQUAL)
                owners = zip(self.bodies.owner[i[hit]].tolist(), other.owner[j[hit]].tolist(), strict=True)
                found |= set(owners)
            self._near[offset] = found
        return self._near[offset]

    def _sharing_holes(self, offset: Offset) -> frozenset[tuple[int, int]]:
        half, columns, rows = offset
        sign = -1 if half else 1
        theirs = {(sign * x + columns, sign * y + rows): index for index, holes in self.pegs.items() for x, y in holes}
        return frozenset((index, theirs[hole]) for index, holes in self.pegs.items() for hole in holes if hole in theirs)

    def leaves_ways(self, around: Sequence[Offset], *, plain: bool = False) -> bool:
        """Return whether torch and ways stay free with other stations at all of some offsets; `plain`: as they are alone."""
        movers = range(len(self.routes.movers))
        if plain:
            return self._torch_as_alone(around) and all(self._way_as_alone(mover, around) for mover in movers)
        return self._torch_free(around) and all(self.way(mover, around) is not None for mover in movers)

    def _torch_free(self, around: Sequence[Offset]) -> bool:
        """Return whether every weld sample keeps a direction."""
        left = self._own_directions.copy()
        for offset in around:
            left[self._shut_at(offset)] = False
        free = np.zeros(len(self.torch.samples), dtype=bool)
        free[self.torch.sample[left]] = True
        return bool(free.all())

    def _torch_as_alone(self, around: Sequence[Offset]) -> bool:
        """Return whether every weld sample keeps the direction it has where the station is alone."""
        own = np.flatnonzero(self._own_directions)
        _, first = np.unique(self.torch.sample[own], return_index=True)
        return not set(own[first].tolist()) & self.torch_shut(around)

    def _way_as_alone(self, mover: int, around: Sequence[Offset]) -> bool:
        alone = self.way(mover, ())
        return alone is not None and all(self._free_past(mover, 0, alone, offset) for offset in around)

    def torch_shut(self, around: Sequence[Offset]) -> frozenset[int]:
        """Return the torch directions that other stations at some offsets shut."""
        return frozenset(way for offset in around for way in self._shut_at(offset).tolist())

    def _shut_at(self, offset: Offset) -> Index:
        if offset not in self._torch_shut:
            shut = sorted({way for way, _ in torch_blocks(self.torch, self.at(offset).owned(0))})
            self._torch_shut[offset] = np.array(shut, dtype=np.intp)
        return self._torch_shut[offset]

    @cached_property
    def _own_directions(self) -> Flags:
        """Which torch directions the station's own pieces leave free."""
        free = np.ones(len(self.torch.sample), dtype=bool)
        free[sorted({way for way, _ in torch_blocks(self.torch, self.shut.owned(0))})] = False
        return free

    def way(self, mover: int, around: Sequence[Offset]) -> Route | None:
        """Return the first of a mover's routes that other stations at all of some offsets leave free, None if there is none."""
        if mover not in self._ways:
            self._ways[mover] = LazyRoutes(partial(self.routes.ways, mover, self.chosen, self.pulled))
        for number, route in enumerate(self._ways[mover]):
            if all(self._free_past(mover, number, route, offset) for offset in around):
                return route
        return None

    def _free_past(self, mover: int, number: int, route: Route, offset: Offset) -> bool:
        key = (mover, number, offset)
        if key not in self._way_free:
            self._way_free[key] = self._clear_of(self._swept(mover, number, route), self.at(offset))
        return self._way_free[key]

    def _swept(self, mover: int, number: int, route: Route) -> Hulls:
        """Return all that a mover sweeps on a route."""
        if (mover, number) not in self._sweeps:
            self._sweeps[mover, number] = swept_along(self.routes.movers[mover], route, self.laid)
        return self._sweeps[mover, number]

    def _clear_of(self, swept: Hulls, others: Hulls) -> bool:
        """Return whether swept bodies keep the gap of ways from another station's."""
        clear = self.laid.rules["way.clear"]
        (low, high), (other_low, other_high) = _bounds(swept), _bounds(others)
        if ((low - other_high >= clear) | (other_low - high >= clear)).any():
            return True
        i, j = box_pairs(swept.boxes, others.boxes, clear)
        return not near(swept, i, others, j, clear + EQUAL).any()


def moved_to(bodies: Hulls, offset: Offset, lattice: Lattice) -> Hulls:
    """Return bodies of one station as they stand at another one, seen from the first."""
    half, columns, rows = offset
    move = np.array([lattice.pitch * columns, lattice.pitch * rows, 0.0])
    return half_turned(bodies).shifted(move + 2 * np.array([*lattice.phase, 0.0])) if half else bodies.shifted(move)


def _bounds(hulls: Hulls) -> Array:
    """Return the lowest and highest corner of all hulls, (2, 3)."""
    boxes = hulls.boxes
    return np.array([boxes[:, 0].min(axis=0), boxes[:, 1].max(axis=0)])
