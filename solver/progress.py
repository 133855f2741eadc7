"""How far a search is, as it is reported while it goes on."""

from __future__ import annotations

from dataclasses import dataclass

from solver.plans import Alternative


@dataclass(frozen=True, slots=True)
class Progress:
    """How far a search is: best total and proven bound (cents, None if none yet), lattice positions tried, alternatives ready.

    `found` holds the alternatives themselves, so that what was found outlives a search that has to be ended.
    """

    incumbent_cents: int | None
    bound_cents: int | None
    positions_tried: int
    positions: int
    alternatives: int
    found: tuple[Alternative, ...] = ()
