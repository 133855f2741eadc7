"""Lattices on which every pin may be met: found for many at once, by the few stacks and faces that may be pinned pieces."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from solver.described_pieces import DescribedPiece
from solver.geometry.hulls import Flags
from solver.hardware.candidates import Lattice
from solver.hardware.reachable_holes import ReachableHoles
from solver.hardware.screening import screen
from solver.hardware.sites import Sites, find_sites
from solver.laying.laid_weldment import LaidWeldment
from solver.position.asked_pieces.fitting import may_serve, stack_may_be

AT_ONCE = 256
"""So many lattices are looked at together."""


@dataclass(frozen=True)
class _PinnedStacks:
    """Which stacks may be a pinned piece, and which of their matches (m,) meet its face and may serve in its role."""

    stacks: Flags
    touching: Flags
    serving: Flags

    @staticmethod
    def of(pin: DescribedPiece, reach: ReachableHoles, laid: LaidWeldment) -> _PinnedStacks:
        """Return those of a pin."""
        at = [pin.part in (None, laid.parts[match.face.part].id) for match in reach.matches]
        face = [pin.face in (None, match.face.label) for match in reach.matches]
        role = [pin.role is None or may_serve(pin.role, match) for match in reach.matches]
        here = np.array(at, dtype=bool)
        return _PinnedStacks(
            np.array([stack_may_be(pin, stack) for stack in reach.stacks], dtype=bool),
            here & np.array(face, dtype=bool),
            here & np.array(role, dtype=bool),
        )

    def on(self, sites: Sites) -> Flags:
        """Return on which lattices some site may be the piece."""
        fits = self.stacks[sites.stack]
        for met in (self.touching, self.serving):
            there = np.zeros(len(sites), dtype=bool)
            there[sites.meetings.site[met[sites.meetings.match]]] = True
            fits &= there
        found = np.zeros(len(sites.lattices), dtype=bool)
        found[sites.lattice[fits]] = True
        return found


def meeting_pins(
    pins: Sequence[DescribedPiece], reach: ReachableHoles, laid: LaidWeldment, lattices: Sequence[Lattice], *, screened: bool
) -> Flags:
    """Return on which lattices for each pin something may stand that is such a piece, whatever the seat.

    `screened`: that runs into no part and keeps clear of welds, too, which takes longer.
    """
    alive = np.ones(len(lattices), dtype=bool)
    for pin in pins:
        pinned = _PinnedStacks.of(pin, reach, laid)
        rows = pinned.stacks[reach.stack]
        for first in range(0, len(lattices), AT_ONCE):
            some = list(lattices[first : first + AT_ONCE])
            sites = find_sites(reach, some, rows[:, None] & alive[first : first + AT_ONCE])
            alive[first : first + AT_ONCE] &= pinned.on(screen(sites, laid, Counter()) if screened else sites)
    return alive
