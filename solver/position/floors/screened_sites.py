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


@dataclass(frozen=True)
class ScreenedSites:
    """Screened sites, and per lattice the floor under what they add to the fixed part, cents; infinite where none can do.

    `locating` (lattices, parts) is what of the floor locators pay for locating each part. Sites are complete where the floor is
    finite.
    """

    sites: Sites
    floor: Array
    locating: Array


def screened_sites(
    reachable: ReachableHoles,
    lattices: Sequence[Lattice],
    laid: LaidWeldment,
    prices: Sequence[float],
    refused: Counter[str],
) -> ScreenedSites:
    """Return the screened sites of some lattices of one orientation.

    Parameters
    ----------
    prices : sequence
        What each stack adds, cents.
    refused : Counter
        Counts the sites that fall out, by rule, as far as they are looked at.
    """
    cents = np.array(prices)
    clamps = np.array([stack.push is not None for stack in reachable.stacks], dtype=bool)[reachable.stack]
    locating = np.zeros((len(lattices), len(laid.parts)))
    alive = np.ones(len(lattices), dtype=bool)

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
            locating[:, part] = locating_floor(kept, laid, laid.parts[part], cents)
            alive &= np.isfinite(locating[:, part])
        if not alive.any():
            break
    if alive.any():
        kept = kept.where(alive[kept.lattice]).merged_with(screen(placed(clamps), laid, refused))
    floor = np.where(alive, locating.sum(axis=1), np.inf)
    if alive.any():
        floor += pressing_floor(kept, laid, cents)
    return ScreenedSites(kept, floor, locating)


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
