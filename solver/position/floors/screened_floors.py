"""Some lattice positions surveyed: how little a fixture could cost there, as far as needed to see that nothing holds or pays.

Locators come first, those of the part with the fewest first: a position on which one part has no side or no end is given up
before anything else is placed or screened there. Then clamps, the cheapest first, until every part has one that can serve it:
dearer ones are not looked at. Each site is screened by itself, so the order changes nothing else.

What is told of a lattice does not depend on which others are surveyed with it.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from inventory.shapes import Array
from solver.access.torch import TorchDirections
from solver.geometry.hulls import Flags
from solver.hardware.candidates import Lattice
from solver.hardware.screening import screen
from solver.hardware.sites import find_sites
from solver.position.floors.cheapest_clamps import cheapest_clamps, has_clamp
from solver.position.floors.match_floors import MatchFloors
from solver.position.floors.site_floors import placing_floor

MOST = 1e15
"""No floor that is finite is above this, cents."""


@dataclass(frozen=True)
class Least:
    """What is known of lattices' floors: of placing each case of a part (lattices, cases), of clamping (lattices,), cents.

    Floors above `most` are not asked any further. `hard` is a part (by its index) for which no clamp was found on lattices
    like them, None if there is none: it is asked first.
    """

    placing: Array
    clamping: Array
    most: float = np.inf
    hard: int | None = None

    def of(self, some: slice) -> Least:
        """Return what is known of some of the lattices."""
        return Least(self.placing[some], self.clamping[some], self.most, self.hard)


@dataclass(frozen=True)
class Survey:
    """Per lattice the floor under what its sites add to the fixed part, cents; infinite where none can do.

    A survey is complete unless the floor is infinite or above what was of interest. `lacking` (lattices, parts) are parts for
    which no clamp was found.
    """

    floor: Array
    complete: Flags
    lacking: Flags

    @property
    def hard(self) -> int | None:
        """The part for which no clamp was found on most lattices, if it is half of them at least; else None."""
        often = self.lacking.sum(axis=0)
        return int(often.argmax()) if len(self.lacking) and 2 * often.max() >= len(self.lacking) else None

    @staticmethod
    def joined(shares: Sequence[Survey]) -> Survey:
        """Return one survey of the lattices of several, in their order."""
        names = ("floor", "complete", "lacking")
        return Survey(*(np.concatenate([getattr(share, name) for share in shares]) for name in names))


def survey(
    bounds: MatchFloors, torch: TorchDirections, lattices: Sequence[Lattice], least: Least, refused: Counter[str]
) -> Survey:
    """Return the floors of some lattices of one orientation.

    Parameters
    ----------
    bounds : MatchFloors
        What can stand under the weldment, and at which prices.
    least : Least
        What is known of the floors before anything is placed, and from where on they are of no interest.
    refused : Counter
        Counts the sites that fall out, by rule, as far as they are looked at.
    """
    reach, laid, cents, choices = bounds.reach, bounds.laid, np.array(bounds.prices), bounds.choices
    clamps = np.array([stack.push is not None for stack in reach.stacks], dtype=bool)[reach.stack]
    placing, most = least.placing.copy(), min(least.most, MOST)
    alive = choices.least(placing) + least.clamping <= least.most
    clamping, lacking = least.clamping.copy(), np.zeros((len(lattices), len(laid.parts)), dtype=bool)
    if least.hard is not None:
        clamped = has_clamp(bounds, torch, lattices, alive, least.hard, refused)
        lacking[alive & ~clamped, least.hard] = True
        clamping[alive & ~clamped] = np.inf
        alive &= clamped
    waiting = find_sites(reach, lattices, ~clamps[:, None] & alive)
    kept = waiting.where(np.zeros(len(waiting), dtype=bool))
    for parts in _in_rounds(bounds, clamps):
        m = waiting.meetings
        now = np.zeros(len(waiting), dtype=bool)
        now[m.site[np.isin(m.part, parts)]] = True
        kept = kept.merged_with(screen(waiting.where(now & alive[waiting.lattice]), laid, refused))
        waiting = waiting.where(~now & alive[waiting.lattice])
        for case in (number for number, (part, _) in enumerate(choices.cases) if part in parts):
            found = placing_floor(kept, *choices.cases[case], cents)
            placing[alive, case] = np.maximum(placing[alive, case], found[alive])
        alive &= choices.least(placing) + least.clamping <= most
        if not alive.any():
            break
    placed = choices.least(placing)
    if alive.any():
        found, without = cheapest_clamps(bounds, torch, kept, alive, most - placed, refused)
        clamping[alive] = np.maximum(clamping, found)[alive]
        lacking |= without
    return Survey(placed + clamping, alive & (placed + clamping <= most), lacking)


def _in_rounds(bounds: MatchFloors, clamping: Flags) -> list[list[int]]:
    """Return the parts in rounds that double, those first that fewest locators meet sideways, by the holes within reach."""
    reach = bounds.reach
    beside = np.flatnonzero(~clamping & (np.abs(reach.normal[:, 2]) < 0.5))
    holes = np.maximum((reach.box[beside, :, 1] - reach.box[beside, :, 0]) / bounds.pitch, 1.0).prod(axis=1)
    many = np.bincount(reach.part[beside], weights=holes, minlength=len(bounds.laid.parts)).round()
    order = np.lexsort((np.arange(len(many)), many)).tolist()
    rounds, size = [], 1
    while order:
        rounds.append(order[:size])
        order, size = order[size:], 2 * size
    return rounds
