"""Which lattice position comes next: the one with the lowest floor, surveyed as it comes to the top."""

from __future__ import annotations

import heapq

from solver.search.lattice_position import LatticePosition
from solver.search.position_batches import screen_together, seated
from solver.search.state import OPENS, SearchState

FIRST_BATCH = 6
BATCH = 24
"""Lattice positions placed and screened together, at most."""
BATCH_MATCHES = 50_000
"""Positions times pads and faces that can meet are at most so many in a batch, so that a look at the clock is never far off."""


def next_position(state: SearchState, waiting: list[LatticePosition], most: int | None) -> LatticePosition | None:
    """Take the position with the lowest floor, surveying positions as they come to the top; None if none is at most `most`.

    Before there is any fixture, surveyed positions go first, the best of them ahead: a first answer soon, and a price to beat.
    """
    while (waiting or state.openings) and not state.deadline.over:
        if _opens_next(state, waiting, most):
            _put_back(state, waiting, [], _opened(state, most))
            continue
        if not waiting or (most is not None and waiting[0].floor > most):
            return None
        ready = waiting[:1] if most is not None else waiting
        known = [position for position in ready if position.model is not None or position.sites is not None]
        if known:
            best = min(known)
            _take(waiting, best)
            if best.seat is not None:
                return best
            _put_back(state, waiting, [best], list(seated(state, best)))
            continue
        first = heapq.heappop(waiting)
        batch, rest = [first], list[LatticePosition]()
        size = BATCH if most is not None else FIRST_BATCH
        size = min(size, 1 + BATCH_MATCHES // max(1, len(first.orientation.found)))
        while waiting and len(batch) < size:
            other = heapq.heappop(waiting)
            fresh = other.sites is None and other.model is None and other.orientation is first.orientation
            (batch if fresh else rest).append(other)
        for position in rest:
            heapq.heappush(waiting, position)
        _put_back(state, waiting, batch, screen_together(state, batch, most))
    return None


def _opens_next(state: SearchState, waiting: list[LatticePosition], most: int | None) -> bool:
    """Return whether something not opened yet is next: once no position waits that may be cheaper than what there is."""
    if not state.openings or (most is not None and state.openings[0].floor > most):
        return False
    return not waiting or (most is not None and (waiting[0].floor > most or state.openings[0].rough))


def _opened(state: SearchState, most: int | None) -> list[LatticePosition]:
    """Open what comes first and return its positions; with a fixture at hand only if there are few that could be cheaper."""
    first = heapq.heappop(state.openings)
    if most is None:
        return first.open(None)
    if state.further[first.code] < OPENS:
        state.untried(first.code, first.floor)
        return []
    found = first.open(most)
    cheaper = [position.floor for position in found if position.floor <= most]
    size = state.size_of(found[0].orientation) if found else 0.0
    state.further[first.code] -= OPENS * size
    if cheaper and len(cheaper) * size > state.further[first.code]:
        state.untried(first.code, min(cheaper))
        return []
    state.further[first.code] -= len(cheaper) * size
    return found


def _take(waiting: list[LatticePosition], position: LatticePosition) -> None:
    """Take a position out of a heap."""
    place = next(k for k, other in enumerate(waiting) if other is position)
    waiting[place] = waiting[-1]
    waiting.pop()
    heapq.heapify(waiting)


def _put_back(
    state: SearchState, waiting: list[LatticePosition], gone: list[LatticePosition], running: list[LatticePosition]
) -> None:
    """Put what is left of some positions into the heap instead of them, and into what the search holds."""
    state.positions = [*(held for held in state.positions if not any(held is position for position in gone)), *running]
    for position in running:
        heapq.heappush(waiting, position)
