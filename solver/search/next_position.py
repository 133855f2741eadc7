"""Which lattice position comes next: the one with the lowest floor, surveyed as it comes to the top."""

from __future__ import annotations

import heapq

from solver.search.lattice_position import LatticePosition
from solver.search.position_batches import hangs, screen_together
from solver.search.state import SearchState

FIRST_BATCH = 6
BATCH = 24
"""Lattice positions placed and screened together, at most."""
BATCH_MATCHES = 50_000
"""Positions times pads and faces that can meet are at most so many in a batch, so that a look at the clock is never far off."""


def next_position(state: SearchState, waiting: list[LatticePosition], most: int | None) -> LatticePosition | None:
    """Take the position with the lowest floor, surveying positions as they come to the top; None if none is at most `most`.

    Before there is any fixture, surveyed positions go first, the best of them ahead: a first answer soon, and a price to beat.
    """
    while waiting and not state.deadline.over:
        if most is not None and waiting[0].floor > most:
            return None
        ready = waiting[:1] if most is not None else waiting
        known = [position for position in ready if position.model is not None or position.sites is not None]
        if known:
            best = min(known)
            waiting.remove(best)
            heapq.heapify(waiting)
            return best
        first = heapq.heappop(waiting)
        batch, rest = [first], list[LatticePosition]()
        size = BATCH if most is not None else FIRST_BATCH
        size = 1 if hangs(state, first) else min(size, 1 + BATCH_MATCHES // max(1, len(first.orientation.found)))
        while waiting and len(batch) < size:
            other = heapq.heappop(waiting)
            fresh = other.sites is None and other.model is None and other.orientation is first.orientation
            (batch if fresh and not hangs(state, other) else rest).append(other)
        running = screen_together(state, batch)
        state.positions = [position for position in state.positions if position not in batch or position in running]
        for position in (*running, *rest):
            heapq.heappush(waiting, position)
    return None
