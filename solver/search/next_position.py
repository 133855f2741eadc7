"""Which lattice position comes next: the one with the lowest floor, surveyed as it comes to the top.

In words: a fixture found soon makes all surveys after it short, so every orientation is looked into early: a few of its
positions are surveyed, and the best of them is asked ahead of lower floors elsewhere. Positions at which several orders of
loading are meant at once are surveyed for all of them; each order that may still win then becomes a position of its own, without
another look. Heights and arms are opened once nothing else may be cheaper; a sort of positions too many to look at is told as
not tried.

Example:

```text
   floor   position          surveyed   asked
   2199    lie -z, (3, 15)   dies
   2841    lie -z, (5, 15)   3760       5611, a fixture: from now on nothing above 5610 is of interest
   2850    lie -z, any order 3985       order b a c d: 4377, order c a b d: 5424, ...
```
"""

from __future__ import annotations

import heapq
from collections.abc import Iterator, Sequence
from contextlib import contextmanager

from solver.deadline import DeadlinePassed
from solver.search.lattice_position import LatticePosition
from solver.search.loading_orders import in_orders
from solver.search.position_batches import seated, survey_together
from solver.search.state import ASKED, OPENS, SearchState

FEW_PARTS = 8
"""Weldments of so many parts at most are asked early in other orders of loading: of more parts there are too many orders."""
FRUITLESS = 2
"""So often the best position of an orientation is asked ahead of lower floors in vain before it waits for its turn."""
FEW_LEFT = 16
"""Fewer positions than so many of a sort are asked to the end."""
FIRST_BATCH = 6
BATCH = 24
MOST_BATCH = 96
"""Lattice positions surveyed together: at first, once there is a fixture, and at most."""
BATCH_MATCHES = 50_000
"""Positions times pads and faces that can meet are at most so many in a batch, so that a look at the clock is never far off."""


def next_position(state: SearchState, waiting: list[LatticePosition], most: int | None) -> LatticePosition | None:
    """Take the position with the lowest floor, surveying positions as they come to the top; None if none is at most `most`.

    Before there is any fixture, surveyed positions go first, the best of them ahead: a first answer soon, and a price to beat.
    Then every orientation is looked into: its best surveyed position goes ahead of lower floors, until that has been fruitless
    a few times. The lower the price to beat, the sooner surveys end. What is being looked at when time is up waits as before.
    """
    with state.deadline.in_force():
        try:
            return _found_next(state, waiting, most)
        except DeadlinePassed:
            return None


def _found_next(state: SearchState, waiting: list[LatticePosition], most: int | None) -> LatticePosition | None:
    while (waiting or state.openings) and not state.deadline.over:
        if _opens_next(state, waiting, most):
            _put_back(state, waiting, [], _opened(state, most))
            continue
        if not waiting or (most is not None and waiting[0].floor > most):
            return None
        if (best := _known(state, waiting, most)) is not None:
            _take(waiting, best)
            if best.ready:
                return best
            if most is not None and not _worth_asking(state, waiting, best, most):
                _leave(state, waiting, [best], surveyed=True)
                continue
            with _else_waiting(state, waiting, [best]):
                found = _made_ready(state, best, most)
            _put_back(state, waiting, [best], found)
            continue
        batch = _batch(state, waiting, most)
        if most is not None and not _affordable(state, batch):
            _leave(state, waiting, batch)
            continue
        with _else_waiting(state, waiting, batch):
            running = survey_together(state, batch, most)
        state.barren = 0 if running else state.barren + 1
        _put_back(state, waiting, batch, running)
        state.looked_into = batch[0].orientation
        state.looked_into.surveyed = True
    return None


@contextmanager
def _else_waiting(state: SearchState, waiting: list[LatticePosition], positions: Sequence[LatticePosition]) -> Iterator[None]:
    """Put positions back where they wait, with nothing held of them, if what is done with them meanwhile is given up."""
    fallen = len(state.fallen)
    try:
        yield
    except DeadlinePassed:
        del state.fallen[fallen:]
        for position in positions:
            position.taken = False
            heapq.heappush(waiting, position)
        raise


def _made_ready(state: SearchState, position: LatticePosition, most: int | None) -> list[LatticePosition]:
    """Return a surveyed position by its orders of loading if several are meant at once, else on its seats."""
    if not position.orientation.several:
        return list(seated(state, position, most))
    found = in_orders(state, position, most)
    if state.looked_into is position.orientation:
        state.looked_into = min(found).orientation if found else None
    return found


def _known(state: SearchState, waiting: Sequence[LatticePosition], most: int | None) -> LatticePosition | None:
    """Return the surveyed position to be asked next; None if others are to be surveyed first."""
    if most is None:
        return min((position for position in waiting if position.surveyed), default=None)
    orientation = state.looked_into
    if orientation is not None and orientation.fruitless < FRUITLESS:
        own = [each for each in waiting if each.orientation is orientation and each.floor <= most and each.surveyed]
        best = min(own, default=None)
        if best is None or best.ready:
            state.looked_into = None
        if best is not None:
            return best
    return waiting[0] if waiting[0].surveyed else None


def _batch(state: SearchState, waiting: list[LatticePosition], most: int | None) -> list[LatticePosition]:
    """Take positions of one orientation to be surveyed together: those with the lowest floors, of an orientation never seen.

    Few at first; more with each batch of which nothing was left.
    """
    new = [each for each in waiting if not each.orientation.surveyed and (most is None or each.floor <= most)]
    first = min(new) if new else waiting[0]
    few = most is None or bool(new)
    size = 1 if first.kept else min(MOST_BATCH, (FIRST_BATCH if few else BATCH) << min(state.barren, 4))
    size = min(size, 1 + BATCH_MATCHES // max(1, len(first.orientation.found)))
    own = [each for each in waiting if each.orientation is first.orientation and not each.surveyed]
    batch = heapq.nsmallest(size, own)
    for each in batch:
        each.taken = True
    waiting[:] = [each for each in waiting if not each.taken]
    heapq.heapify(waiting)
    return batch


def _affordable(state: SearchState, batch: list[LatticePosition]) -> bool:
    """Return whether so many positions of their sort may still be surveyed, and count them."""
    orientation = batch[0].orientation
    size = len(batch) * state.size_of(orientation)
    affordable = not orientation.sort or state.affords(orientation.sort, size)
    if orientation.sort and affordable:
        state.spend(orientation.sort, size)
    return affordable


def _worth_asking(state: SearchState, waiting: Sequence[LatticePosition], position: LatticePosition, most: int) -> bool:
    """Return whether a surveyed position of its sort may still be asked, and count it; only heights and arms are counted.

    The last few are asked whatever was asked before.
    """
    sort = position.orientation.sort
    if sort not in ASKED:
        return True
    size = ASKED[sort] * state.size_of(position.orientation)
    if state.affords(sort, size):
        state.spend(sort, size)
        return True
    return sum(each.orientation.sort == sort and not each.ready and each.floor <= most for each in waiting) < FEW_LEFT


def _leave(state: SearchState, waiting: list[LatticePosition], batch: list[LatticePosition], *, surveyed: bool = False) -> None:
    """Leave all positions of a sort untried that are not surveyed yet, or all that are not asked yet."""
    sort = batch[0].orientation.sort

    def left(each: LatticePosition) -> bool:
        return each.orientation.sort == sort and not each.ready and (surveyed or not each.surveyed)

    state.untried(sort, min(each.floor for each in (*batch, *filter(left, waiting))))
    for each in batch:
        each.taken = True
    waiting[:] = [each for each in waiting if not left(each)]
    heapq.heapify(waiting)
    state.positions = [each for each in state.positions if not left(each) and not each.taken]


def _opens_next(state: SearchState, waiting: list[LatticePosition], most: int | None) -> bool:
    """Return whether something not opened yet is next: once no position waits that may be cheaper than what there is.

    With a fixture at hand other orders of loading come as early as their floor says, one after the other: they may hold a
    much cheaper one. So does what a better floor may shut out at once.
    """
    if not state.openings or (most is not None and state.openings[0].floor > most):
        return False
    if most is None or not waiting or waiting[0].floor > most:
        return not waiting or most is not None
    first = state.openings[0]
    early = first.code == "orders" and first.floor <= waiting[0].floor and len(state.request.weldment.parts) <= FEW_PARTS
    return first.rough or (early and all(each.orientation.surveyed or each.floor > most for each in waiting))


def _opened(state: SearchState, most: int | None) -> list[LatticePosition]:
    """Open what comes first and return its positions; with a fixture at hand only while its sort is affordable.

    Of heights and arms none is looked at if not all that may pay can be, in whatever order of loading.
    """
    first = heapq.heappop(state.openings)
    if most is not None and not first.rough and not state.affords(first.code, OPENS):
        state.untried(first.code, first.floor)
        return []
    before, tried, fallen = list(state.openings), len(state.tried), len(state.fallen)
    try:
        found = first.open(most)
    except DeadlinePassed:
        del state.tried[tried:], state.fallen[fallen:]
        state.openings = before
        heapq.heappush(state.openings, first)
        raise
    for position in found:
        position.orientation.sort = first.code
    if most is not None and found:
        size = state.size_of(found[0].orientation)
        state.spend(first.code, OPENS * size)
        running = sum(position.floor <= most for position in found)
        if first.code in ASKED and not state.affords(first.code, running * size):
            state.untried(first.code, first.floor)
            state.openings = before
            return []
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
    for position in gone:
        position.taken = True
    state.positions = [*(held for held in state.positions if not held.taken), *running]
    for position in (*gone, *running):
        position.taken = False
    for position in running:
        heapq.heappush(waiting, position)
