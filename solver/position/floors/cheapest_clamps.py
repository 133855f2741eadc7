"""What clamps cost at least on some lattices: of each part the cheapest that can serve it, found without looking at dearer ones.

A clamp's price is shared over the parts its line of force passes through. Clamps that shut the torch out of a weld alone serve
nothing. Kinds of clamps are placed and screened in groups, those first whose share could be least; a part is settled once no
kind left could have a lower one.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from inventory.shapes import Array
from solver.access.torch import TorchDirections
from solver.geometry.hulls import Flags, Index
from solver.geometry.tolerances import CARRIES
from solver.hardware.candidates import Lattice
from solver.hardware.clamp_lines import clamped_over_support, parts_clamped
from solver.hardware.screening import screen
from solver.hardware.sites import Sites, find_sites
from solver.laying.requirements import clamps_needed
from solver.position.floors.match_floors import MatchFloors
from solver.position.torch_screen import shutting_alone

AT_ONCE = 12
"""At least so many kinds of clamps are placed together, while there are as many."""
ASKED = 4
"""Of one lattice and part so many clamps are asked at first whether they leave the torch a way, then twice as many."""


def cheapest_clamps(
    bounds: MatchFloors, torch: TorchDirections, locators: Sites, alive: Flags, most: Array, refused: Counter[str]
) -> tuple[Array, Flags]:
    """Return what clamps cost at least on each lattice (lattices,), cents, and which parts have none at all (lattices, parts).

    Where some part has none the sum is infinite.

    Parameters
    ----------
    locators : Sites
        What can locate on the lattices, screened.
    alive : (lattices,) flags
        The lattices asked about.
    most : (lattices,) array
        Sums above this are of no interest; they are told as far as known, cents.
    """
    laid, rests = bounds.laid, _resting(locators, bounds)
    if bounds.late is not None:  # not all of them are placed
        rests[:, bounds.reach.part[bounds.bears & bounds.late[bounds.reach.stack]]] = True
    needed = np.array([clamps_needed(laid, part) for part in laid.parts], dtype=float)
    shares = _Shares(bounds, rests, most, needed, alive)
    shares.ask(torch, locators.lattices, refused)
    return shares.total(), shares.lacking


def has_clamp(
    bounds: MatchFloors, torch: TorchDirections, lattices: Sequence[Lattice], alive: Flags, part: int, refused: Counter[str]
) -> Flags:
    """Return on which lattices any clamp can serve a part (by its index), borne where it presses, (lattices,)."""
    reach, needed = bounds.reach, np.zeros(len(bounds.laid.parts))
    needed[part] = 1.0
    clamps = np.array([stack.push is not None for stack in reach.stacks], dtype=bool)
    under = np.zeros(len(reach.stacks), dtype=bool)
    under[reach.stack[(reach.part == part) & (reach.normal[:, 2] > CARRIES)]] = True
    locators = find_sites(reach, lattices, (under & ~clamps)[reach.stack][:, None] & alive)
    rests = _resting(screen(locators, bounds.laid, refused), bounds)
    shares = _Shares(bounds, rests, np.full(len(lattices), np.inf), needed, alive)
    shares.ask(torch, lattices, refused)
    found: Flags = alive & np.isfinite(shares.least[:, part])
    return found


def _resting(locators: Sites, bounds: MatchFloors) -> Flags:
    """Return which parts have a rest on each lattice among some screened sites, (lattices, parts)."""
    m = locators.meetings
    rests = np.zeros((len(locators.lattices), len(bounds.laid.parts)), dtype=bool)
    under = ~locators.clamping[m.site] & (m.normal[:, 2] > CARRIES)
    rests[locators.lattice[m.site[under]], m.part[under]] = True
    return rests


@dataclass
class _Shares:
    """The least share found so far of each lattice and part (lattices, parts), and which are still `open`."""

    bounds: MatchFloors
    rests: Flags
    most: Array
    needed: Array
    alive: Flags
    least: Array = field(init=False)
    open: Flags = field(init=False)
    ahead: Array = field(init=False)
    """What each kind's share for each part could be at least (kinds, parts), cents."""
    left: Flags = field(init=False)
    told: Array = field(init=False)
    """Sums of lattices that are above what is of interest, as low as they could be when that was seen; elsewhere nan."""
    lacking: Flags = field(init=False)
    """Parts that have no clamp at all, as far as seen, (lattices, parts)."""

    def __post_init__(self) -> None:
        kinds, parts = len(self.bounds.stacks), len(self.needed)
        self.least = np.full(self.rests.shape, np.inf)
        self.open = self.alive[:, None] & (self.needed > 0)
        of_match = np.bincount([window.match for window in self.bounds.windows], minlength=len(self.bounds.found))
        match = np.array([window.match for window in self.bounds.windows], dtype=np.intp)
        part = np.array([window.part for window in self.bounds.windows], dtype=np.intp)
        kind = self.bounds.reach.stack[match]
        share = np.array(self.bounds.prices)[kind] / np.maximum(of_match[match], 1)
        self.ahead = np.full((kinds, parts), np.inf)
        np.minimum.at(self.ahead, (kind, part), share)
        self.left = np.asarray(np.isfinite(self.ahead[:, self.needed > 0]).any(axis=1))
        self.told = np.full(len(self.open), np.nan)
        self.lacking = np.zeros(self.open.shape, dtype=bool)
        if not self.left.any():
            self.lacking = self.open & np.isinf(self.least)

    def ask(self, torch: TorchDirections, lattices: Sequence[Lattice], refused: Counter[str]) -> None:
        """Place and screen clamps, group after group, until nothing is open."""
        for kinds in self.groups():
            if not self.open.any():
                break
            wanted = self.wanted(kinds)
            if wanted.any():
                self.take_in(screen(find_sites(self.bounds.reach, lattices, wanted), self.bounds.laid, refused), torch, refused)
            self.settle(kinds)

    def groups(self) -> list[Index]:
        """Return the kinds of clamps in groups: those first whose share could be least, equal ones together."""
        kinds = np.flatnonzero(self.left)
        best = self.ahead[kinds][:, self.needed > 0].min(axis=1, initial=np.inf)
        order = np.argsort(best, kind="stable")
        kinds, best = kinds[order], best[order]
        groups, first = [], 0
        for last in range(1, len(kinds) + 1):
            if last == len(kinds) or (best[last] > best[last - 1] and last - first >= AT_ONCE):
                groups.append(kinds[first:last])
                first = last
        return groups

    def wanted(self, kinds: Index) -> Flags:
        """Return which matches are to be placed on which lattices (matches, lattices): where some part they may serve is open."""
        lower = self.ahead[kinds][:, None, :] < self.least[None]
        of_kind = np.zeros((len(self.bounds.stacks), len(self.open)), dtype=bool)
        of_kind[kinds] = (lower & self.open[None]).any(axis=2)
        return of_kind[self.bounds.reach.stack]

    def take_in(self, sites: Sites, torch: TorchDirections, refused: Counter[str]) -> None:
        """Lower the shares by what some screened sites offer."""
        serving = parts_clamped(sites, self.bounds.laid)
        borne = clamped_over_support(sites, self.bounds.laid) | self.rests[sites.lattice]
        share = np.array(self.bounds.prices)[sites.stack] / np.maximum(serving.sum(axis=1), 1)
        site, part = np.nonzero(serving & borne)
        lower = share[site] < self.least[sites.lattice[site], part]
        site, part = site[lower], part[lower]
        order = np.lexsort((site, share[site], part, sites.lattice[site]))
        site, part = site[order], part[order]
        cell = sites.lattice[site] * len(self.needed) + part
        place = np.arange(len(cell)) - np.searchsorted(cell, cell)
        free = np.zeros(len(sites), dtype=bool)
        known = np.zeros(len(sites), dtype=bool)
        first, many = 0, ASKED
        while len(site):
            found = np.zeros(self.least.size, dtype=bool)
            now = (place >= first) & (place < first + many)
            asked = np.unique(site[now])
            asked = asked[~known[asked]]
            flags = np.zeros(len(sites), dtype=bool)
            flags[asked] = True
            free[asked] = ~shutting_alone(sites.where(flags), torch)
            known |= flags
            refused["torch.work_tolerance"] += int((~free[asked]).sum())
            rows = np.flatnonzero(now & free[site])
            np.minimum.at(self.least, (sites.lattice[site[rows]], part[rows]), share[site[rows]])
            found[cell[rows]] = True
            left = ~now & ~found[cell]
            site, part, cell, place = site[left], part[left], cell[left], place[left]
            first, many = first + many, 2 * many

    def settle(self, kinds: Index) -> None:
        """Close what no kind left could better, and lattices that are above what is of interest."""
        self.left[kinds] = False
        ahead = self.ahead[self.left].min(axis=0, initial=np.inf)
        self.open &= self.least > ahead
        lowest = self._sum(np.minimum(self.least, ahead))
        over = self.alive & np.isnan(self.told) & (lowest > self.most)
        self.told[over] = lowest[over]
        self.lacking[over] = (self.needed > 0) & np.isinf(np.minimum(self.least, ahead))[over]
        self.open[over] = False

    def total(self) -> Array:
        """Return the sums, cents."""
        return np.where(np.isnan(self.told), self._sum(self.least), self.told)

    def _sum(self, shares: Array) -> Array:
        asked = self.needed > 0
        total: Array = (shares[:, asked] * self.needed[asked]).sum(axis=1)
        return total
