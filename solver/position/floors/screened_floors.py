"""Some lattice positions surveyed: how little a fixture could cost there, as far as needed to see that nothing holds or pays.

Locators come first, those of the part with the fewest first: a position on which one part has no side or no end is given up
before anything else is placed or screened there. Then clamps, the cheapest first, until every part has one that can serve it:
dearer ones are not looked at. Each site is screened by itself, so the order changes nothing else.

What is told of a lattice does not depend on which others are surveyed with it.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

import numpy as np

from inventory.shapes import Array
from solver.access.torch import TorchDirections
from solver.geometry.hulls import Flags
from solver.hardware.candidates import Lattice
from solver.hardware.screening import screen
from solver.hardware.sites import Sites, find_sites
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
    reach, laid, choices = bounds.reach, bounds.laid, bounds.choices
    clamps = np.array([stack.push is not None for stack in reach.stacks], dtype=bool)[reach.stack]
    late = np.zeros(len(clamps), dtype=bool) if bounds.late is None else bounds.late[reach.stack]
    placing, most = least.placing.copy(), min(least.most, MOST)
    alive = choices.least(placing) + least.clamping <= least.most
    clamping, lacking = least.clamping.copy(), np.zeros((len(lattices), len(laid.parts)), dtype=bool)
    if least.hard is not None:
        clamped = has_clamp(bounds, torch, lattices, alive, least.hard, refused)
        lacking[alive & ~clamped, least.hard] = True
        clamping[alive & ~clamped] = np.inf
        alive &= clamped
    rounds = _in_rounds(bounds, clamps)
    locators = _Locators(bounds, lattices, placing, refused, find_sites(reach, lattices, (~clamps & ~late)[:, None] & alive))
    for parts in rounds:
        locators.place(parts, alive)
        alive &= choices.least(locators.placing) + least.clamping <= most
        if not alive.any():
            break
    for part in (part for parts in rounds for part in parts if late.any()):
        locators.place_late(part, alive, most - least.clamping)
        alive &= choices.least(locators.placing) + least.clamping <= most
    placed = choices.least(locators.placing)
    if alive.any():
        found, without = cheapest_clamps(bounds, torch, locators.kept, alive, most - placed, refused)
        clamping[alive] = np.maximum(clamping, found)[alive]
        lacking |= without
    return Survey(placed + clamping, alive & (placed + clamping <= most), lacking)


@dataclass
class _Locators:
    """Locators placed and screened part by part, and what placing each part costs at least by then (lattices, cases).

    What stands on arms comes late: only for a part that others do not place as cheaply as that might, and only what may pay.
    """

    bounds: MatchFloors
    lattices: Sequence[Lattice]
    placing: Array
    refused: Counter[str]
    waiting: Sites
    kept: Sites = field(init=False)
    late: Array = field(init=False)
    """What placing a part by each late match costs at least, (m, lattices, cases); without any there is no match here."""
    asked: Flags = field(init=False)
    """For which parts something late may be cheaper (lattices, parts)."""
    placed: Flags = field(init=False)
    """Which late stacks are placed on which lattices."""

    def __post_init__(self) -> None:
        self.kept = self.waiting.where(np.zeros(len(self.waiting), dtype=bool))
        self.late = np.zeros((0, *self.placing.shape))
        if self.bounds.late is not None:
            self.late = self.bounds.late_at(np.array([lattice.phase for lattice in self.lattices]))
        self.asked = np.zeros((len(self.lattices), len(self.bounds.laid.parts)), dtype=bool)
        self.placed = np.zeros((len(self.bounds.stacks), len(self.lattices)), dtype=bool)

    def place(self, parts: Sequence[int], alive: Flags) -> None:
        """Screen what meets some parts on lattices that are alive, and raise what placing them costs."""
        self._screen(parts, alive)
        for case, found in self._found(parts):
            late = self.late[:, :, case].min(axis=0, initial=np.inf)
            self.asked[:, self.bounds.choices.cases[case][0]] |= alive & (found > late)
            self._raise(case, np.minimum(found, late), alive)

    def place_late(self, part: int, alive: Flags, most: Array) -> None:
        """Place and screen what stands on arms and meets a part too, where that may be cheaper than what does not.

        What makes all parts cost more than `most` (lattices,) is not placed: no fixture of interest has it.
        """
        reach, asked = self.bounds.reach, alive & self.asked[:, part]
        if self.bounds.late is None or not asked.any():
            return
        own = [case for case, (index, _) in enumerate(self.bounds.choices.cases) if index == part]
        by_part = self.bounds.choices.by_part(self.placing)
        others = np.delete(by_part, part, axis=1).sum(axis=1)
        asked &= np.isfinite(by_part[:, part])  # what nothing places is placed by nothing late either
        pays = (reach.part == part)[:, None] & asked & (self.late[:, :, own].min(axis=2) + others <= most)
        wanted = np.zeros(self.placed.shape, dtype=bool)
        np.logical_or.at(wanted, reach.stack, pays)
        wanted &= ~self.placed
        self.placed |= wanted
        self.waiting = self.waiting.merged_with(find_sites(reach, self.lattices, wanted[reach.stack]))
        self._screen([part], asked)
        left = ~self.placed[reach.stack] & (reach.part == part)[:, None]
        for case, found in self._found([part]):
            late = np.where(left, self.late[:, :, case], np.inf).min(axis=0, initial=np.inf)
            self._raise(case, np.minimum(found, late), asked)

    def _screen(self, parts: Sequence[int], alive: Flags) -> None:
        m = self.waiting.meetings
        now = np.zeros(len(self.waiting), dtype=bool)
        now[m.site[np.isin(m.part, parts)]] = True
        fresh = screen(self.waiting.where(now & alive[self.waiting.lattice]), self.bounds.laid, self.refused)
        self.kept = self.kept.merged_with(fresh)
        self.waiting = self.waiting.where(~now)

    def _found(self, parts: Sequence[int]) -> Iterator[tuple[int, Array]]:
        """Yield the cases of some parts with what kept sites place them for at least, (lattices,), cents."""
        cents, cases = np.array(self.bounds.prices), self.bounds.choices.cases
        for case in (number for number, (part, _) in enumerate(cases) if part in parts):
            yield case, placing_floor(self.kept, *cases[case], cents)

    def _raise(self, case: int, found: Array, alive: Flags) -> None:
        self.placing[alive, case] = np.maximum(self.placing[alive, case], found[alive])


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
