"""The sites of a few lattice positions: found, screened and priced, as far as needed to see that nothing holds there.

Locators come first, those of the part with the fewest first: a position on which one part has no side or no end is given up
before anything else is placed or screened there. Each site is screened once, and by itself, so the order changes nothing else.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from inventory.shapes import Array
from solver.geometry.hulls import Flags
from solver.hardware.candidates import Lattice
from solver.hardware.reachable_holes import ReachableHoles
from solver.hardware.screening import screen
from solver.hardware.sites import Sites, find_sites
from solver.laying.laid_weldment import LaidWeldment
from solver.position.floors.site_floors import locating_floor, pressing_floor

MOST = 1e15
"""No floor that is finite is above this, cents."""


@dataclass(frozen=True)
class Least:
    """What is known of lattices' floors: of locating each part (lattices, parts), of pressing (lattices,), cents.

    Floors above `most` are not asked any further.
    """

    locating: Array
    pressing: Array
    most: float = np.inf

    @staticmethod
    def nothing(lattices: int, parts: int) -> Least:
        """Return that nothing is known, and all is of interest."""
        return Least(np.zeros((lattices, parts)), np.zeros(lattices))


@dataclass(frozen=True)
class ScreenedSites:
    """Screened sites, and per lattice the floor under what they add to the fixed part, cents; infinite where none can do.

    `locating` (lattices, parts) is what of the floor locators pay for locating each part. Sites are complete unless the floor is
    infinite or above what was of interest.
    """

    sites: Sites
    floor: Array
    locating: Array
    complete: Flags


def screened_sites(
    reachable: ReachableHoles,
    lattices: Sequence[Lattice],
    laid: LaidWeldment,
    prices: Sequence[float],
    least: Least,
    refused: Counter[str],
) -> ScreenedSites:
    """Return the screened sites of some lattices of one orientation.

    Parameters
    ----------
    prices : sequence
        What each stack adds, cents.
    least : Least
        What is known of the floors before anything is placed, and from where on they are of no interest.
    refused : Counter
        Counts the sites that fall out, by rule, as far as they are looked at.
    """
    cents = np.array(prices)
    clamps = np.array([stack.push is not None for stack in reachable.stacks], dtype=bool)[reachable.stack]
    locating = least.locating.copy()
    alive = locating.sum(axis=1) + least.pressing <= least.most

    def placed(matches: Flags) -> Sites:
        return find_sites(reachable, lattices, matches[:, None] & alive)

    waiting = placed(~clamps)
    kept = waiting.where(np.zeros(len(waiting), dtype=bool))
    for parts in _in_rounds(waiting, laid):
        m = waiting.meetings
        now = np.zeros(len(waiting), dtype=bool)
        now[m.site[np.isin(m.part, parts)]] = True
        kept = kept.merged_with(screen(waiting.where(now & alive[waiting.lattice]), laid, refused))
        waiting = waiting.where(~now & alive[waiting.lattice])
        for part in parts:
            found = locating_floor(kept, laid, laid.parts[part], cents)
            locating[alive, part] = np.maximum(locating[alive, part], found[alive])
            alive &= locating.sum(axis=1) + least.pressing <= min(least.most, MOST)
        if not alive.any():
            break
    if alive.any():
        kept = kept.where(alive[kept.lattice]).merged_with(screen(placed(clamps), laid, refused))
    pressing = least.pressing.copy()
    if alive.any():
        pressing[alive] = np.maximum(pressing[alive], pressing_floor(kept, laid, cents)[alive])
    return ScreenedSites(kept, locating.sum(axis=1) + pressing, locating, alive & np.isfinite(pressing))


def _in_rounds(sites: Sites, laid: LaidWeldment) -> list[list[int]]:
    """Return the parts in rounds that double, those that fewest locators meet first."""
    m = sites.meetings
    most = np.bincount(m.part[np.abs(m.normal[:, 2]) < 0.5], minlength=len(laid.parts))
    order = np.lexsort((np.arange(len(most)), most)).tolist()
    rounds, size = [], 1
    while order:
        rounds.append(order[:size])
        order, size = order[size:], 2 * size
    return rounds
