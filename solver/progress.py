"""How far a search is, as it is told while it goes on."""

from __future__ import annotations

from dataclasses import dataclass

from solver.plans import Alternative


@dataclass(frozen=True, slots=True)
class Progress:
    """How far a search is: best total and proven bound (cents, None if none yet), poses tried, alternatives ready.

    `found` holds the alternatives themselves, so that what was found outlives a search that has to be ended.
    """

    incumbent_cents: int | None
    bound_cents: int | None
    poses_tried: int
    poses: int
    alternatives: int
    found: tuple[Alternative, ...] = ()
