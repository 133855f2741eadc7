"""Opening a search: from the lies allowed to orientations, and from each to its lattice positions with the floors under them."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import replace
from functools import partial
from itertools import pairwise

import numpy as np

from solver.deadline import DeadlinePassed
from solver.geometry.hulls import Flags, Index
from solver.hardware.candidates import Lattice
from solver.hardware.lattice_positions import positions_of
from solver.hardware.raising import lifts_of
from solver.laying.lies import lies_of
from solver.laying.load_orders import orders_of
from solver.model.bounds.counting import counting
from solver.model.cpsat import feasible
from solver.position.asked_pieces.fitting import has_place, pinned_settings
from solver.position.asked_pieces.lattices import meeting_pins
from solver.position.floors.match_floors import AlongAxis, MatchFloors
from solver.position.floors.pairs_of_phases import may_stand
from solver.position.floors.standing_seats import most_staying
from solver.search.lattice_position import Fallen, LatticePosition
from solver.search.orientation import (
    Orientation,
    in_orders,
    items_of,
    orientations_of,
    under_rules,
    with_every_arm,
)
from solver.search.sorts.carried_prices import arm_cents
from solver.search.sorts.sort_floors import anywhere, armed_floor, armed_phases, raised_floors
from solver.search.state import SearchState
from solver.search.variants.lattices import shifted_floor, with_variants

MOST_ORDERS = 400
"""Orders of loading looked at in one lie; of more the rest is told as not tried."""
MOST_KEPT = 200
"""Of lattice positions of one orientation given up together so many are kept, each for those next to it."""


def open_on_table(state: SearchState) -> None:
    """Find all positions with the weldment on the table, and the floor under each."""
    lies = lies_of(state.request, items_of(state.request, state.stock), (0.0,))
    _enter(state, orientations_of(state.request, state.stock, state.samples, lies, state.out_of_time, state.shelf))


def open_as(state: SearchState, other: SearchState) -> None:
    """Find all positions on the lies on the table that another search has found, for its request with other rules."""
    on_table = [orientation for orientation in other.tried if not orientation.lie.lift and not orientation.reordered]
    _enter(
        state,
        (under_rules(state.request, state.stock, orientation, state.shelf(orientation.bounds.pitch)) for orientation in on_table),
    )


def _enter(state: SearchState, orientations: Iterable[Orientation]) -> None:
    try:
        for orientation in orientations:
            if state.out_of_time():
                break
            _add_kept_order(state, orientation, state.positions)
            state.positions += _positions(state, orientation)
            if not orientation.lie.lift:
                state.opening("lift", state.price.cents(0.0), partial(_raised, state, orientation), rough=True)
    except DeadlinePassed:
        state.unseen = True
    state.positions.sort()


def _raised(state: SearchState, orientation: Orientation, most: int | None) -> list[LatticePosition]:
    """Set aside every height at which rests or V-blocks carry a weldment, high enough for the torch past the table.

    With a fixture at hand, those only at which one may cost at most `most`, each under its own floor.
    """
    items, lacking = items_of(state.request, state.stock), orientation.lacking
    if lacking == math.inf:
        return []
    lifts = list(lifts_of(items, orientation.laid, orientation.bounds.pitch, state.under, lacking))
    floors = raised_floors(state, orientation, lifts)
    least = min((floor for floor in floors if floor is not None), default=None)
    for lift, floor in zip(lifts, floors, strict=True):
        if least is not None and (most is None or (floor is not None and floor <= most)):
            state.opening("lift", floor or least, partial(_at_height, state, orientation, lift))
    return []


def _at_height(state: SearchState, orientation: Orientation, lift: float, _: int | None) -> list[LatticePosition]:
    """Find the positions of a weldment carried at a height."""
    lies = [replace(orientation.lie, lift=lift)]
    found: list[LatticePosition] = []
    for there in orientations_of(
        state.request, state.stock, state.samples, lies, state.out_of_time, state.shelf, orientation.tables
    ):
        found += _positions(state, there)
    return found


def _reordered(state: SearchState, orientation: Orientation, _: int | None) -> list[LatticePosition]:
    """Set aside the other orders of loading, all of them at once, under the floor of the least."""
    orders = _other_orders(state, orientation)
    if orders:
        other = in_orders(orientation, orders)
        floor = float(anywhere(other.bounds)[0])
        if math.isfinite(floor):
            state.opening("orders", state.price.cents(floor), partial(_in_order, state, other))
    return []


def _other_orders(state: SearchState, orientation: Orientation) -> list[tuple[int, ...]]:
    """Return the orders of loading other than the plain one; if they are too many, as many as are looked at."""
    orders: list[tuple[int, ...]] = []
    for order in orders_of(orientation.laid, state.out_of_time):
        if len(orders) == MOST_ORDERS:
            floor = float(anywhere(_loose(orientation))[0])
            if math.isfinite(floor):
                state.untried("orders", state.price.cents(floor))
            break
        orders.append(order)
    return orders


def _in_order(state: SearchState, orientation: Orientation, _: int | None) -> list[LatticePosition]:
    return _positions(state, orientation)


def _on_arms(state: SearchState, orientation: Orientation, most: int | None) -> list[LatticePosition]:
    """Set aside the fixtures with an arm, under their floor."""
    floor = armed_floor(state, orientation)
    if floor is not None and (most is None or floor <= most):
        state.opening("arms", floor, partial(_wherever_arms_stand, state, orientation))
    return []


def _wherever_arms_stand(state: SearchState, orientation: Orientation, most: int | None) -> list[LatticePosition]:
    """Find the positions of fixtures with an arm, wherever one may stand, in all orders of loading at once.

    With a fixture at hand, those only at which one may cost at most `most`.
    """
    phases = None if most is None else armed_phases(state, orientation, most)
    if phases == []:
        return []
    shelf = state.shelf(orientation.bounds.pitch)
    there = with_every_arm(state.request, state.stock, orientation, shelf, arm_cents(state.request, state.stock, shelf))
    there.phases.extend(phases or [])
    orders = _other_orders(state, orientation) if len(there.laid.parts) > 1 else []
    every = [order for order in (there.laid.order, *orders) if order is not None]
    return _positions(state, in_orders(there, every) if orders else there)


def _loose(orientation: Orientation) -> MatchFloors:
    """Return what bounds an orientation whatever the order of loading."""
    return orientation.bounds.ordered([replace(orientation.laid, any_order=True)])


def _positions(state: SearchState, orientation: Orientation) -> list[LatticePosition]:
    """Return the lattice positions of an orientation that are in the running, and set its other load orders aside."""
    state.tried.append(orientation)
    found: list[LatticePosition] = []
    laid = orientation.laid
    plain = not orientation.reordered and not orientation.premium
    if plain and len(laid.parts) > 1 and not orientation.lacking:
        floor = float(anywhere(_loose(orientation))[0])
        if math.isfinite(floor):
            state.opening("orders", state.price.cents(floor), partial(_reordered, state, orientation))
    _add_positions(state, orientation, found)
    if plain and state.shelf(orientation.bounds.pitch).arms:
        state.opening("arms", state.price.cents(0.0), partial(_on_arms, state, orientation), rough=True)
    state.tally.positions += len(found)
    return found


def _add_positions(state: SearchState, orientation: Orientation, found: list[LatticePosition]) -> None:
    if all(_may_be_held(state, each) for each in (orientation, *orientation.variants)):
        _add_on_lattices(state, orientation, found)


def _may_be_held(state: SearchState, orientation: Orientation) -> bool:
    """Return whether the torch reaches every weld of a weldment as it lies, its parts go in, and pieces enough are there."""
    missing = set(range(len(orientation.torch.samples))) - set(orientation.torch.sample.tolist())
    if missing:
        state.tally.refused["torch.shut_in"] += len(missing)
        return False
    if orientation.laid.sunk:
        state.tally.refused["clear.table_top"] += 1
        return False
    if orientation.laid.order is None:
        state.tally.refused["way.in"] += 1
        return False
    short = counting(state.request, state.stock, orientation.laid, orientation.stacks, orientation.found)
    if feasible(short, state.deadline.seconds_left()) == "infeasible":
        state.tally.refused["stock.counted"] += 1
        state.fallen.append(
            Fallen(
                LatticePosition(0, -1, orientation, Lattice((0.0, 0.0), orientation.bounds.pitch), orientation.tables[0]),
                short,
            )
        )
        return False
    return True


def _add_on_lattices(state: SearchState, orientation: Orientation, found: list[LatticePosition]) -> None:
    bounds = orientation.bounds
    _add_kept(state, orientation, found)
    left = False
    if not orientation.phases:
        settings = pinned_settings(state.request)
        phases, left = positions_of(orientation.reach, orientation.laid, bounds.pitch, bounds.told_apart, settings)
        if orientation.variants:
            phases, askew, pairs = with_variants(phases, orientation.variants)
            left |= askew
            if pairs:
                state.untried("positions.variants", state.price.cents(0.0))
        orientation.phases.extend(phases)
    if orientation.variants and math.isfinite(floor := shifted_floor(orientation)):
        state.untried("variants.shift", state.price.cents(orientation.premium + floor))
    alive = _pins_alive(state, orientation)
    _give_up(state, orientation, [orientation.phases[row] for row in np.flatnonzero(~alive).tolist()])
    _try(state, orientation, [orientation.phases[row] for row in np.flatnonzero(alive).tolist()], found)
    if left:
        state.untried("positions.askew", state.price.cents(0.0))


def _pins_alive(state: SearchState, orientation: Orientation) -> Flags:
    """Return at which lattice positions of a lie for each pin something may stand that is such a piece."""
    request, tables, bounds = state.request, orientation.tables, orientation.bounds
    if not all(any(has_place(pin, table, request.without) for table in tables) for pin in request.pins):
        return np.zeros(len(orientation.phases), dtype=bool)
    lattices = [Lattice(phase, bounds.pitch) for phase in orientation.phases]
    return meeting_pins(request.pins, orientation.reach, orientation.laid, lattices, screened=False)


def _try(
    state: SearchState, orientation: Orientation, phases: Sequence[tuple[float, float]], found: list[LatticePosition]
) -> None:
    """Add a position for every lattice position that every part can be located on."""
    bounds = orientation.bounds
    axes = bounds.axes(phases)
    alive = may_stand(bounds, *(there for there, _ in axes))[axes[0][1], axes[1][1]]
    for variant in orientation.variants:
        own = variant.bounds.axes(phases)
        alive &= may_stand(variant.bounds, *(there for there, _ in own))[own[0][1], own[1][1]]
    _give_up(state, orientation, [phases[row] for row in np.flatnonzero(~alive).tolist()])
    rows = np.flatnonzero(alive)
    staying = _staying(state, orientation, phases, axes)[rows]
    left, first = [phases[row] for row in rows.tolist()], 0
    for floors in bounds.floors_at(left, [(there, numbers[rows]) for there, numbers in axes]):
        if first and state.out_of_time():
            return
        some = slice(first, first + len(floors))
        _add(state, orientation, left[some], floors.tolist(), staying[some].tolist(), found)
        first += len(floors)


def _staying(
    state: SearchState, orientation: Orientation, phases: Sequence[tuple[float, float]], axes: Sequence[tuple[AlongAxis, Index]]
) -> Index:
    """Return how many pieces of the plan to keep may stay at each lattice position at most."""
    if state.kept is None:
        return np.zeros(len(phases), dtype=np.intp)
    along = np.unique([x for x, _ in phases]), np.unique([y for _, y in phases])
    meets = axes[0][0].meets, axes[1][0].meets
    most = most_staying(state.kept, orientation.lie, orientation.reach, orientation.bounds.pitch, along, meets)
    return most[axes[0][1], axes[1][1]]


def _give_up(state: SearchState, orientation: Orientation, phases: Sequence[tuple[float, float]]) -> None:
    """Count lattice positions that some part finds nothing on, and keep a few of them."""
    state.tally.refused["locate.lattice"] += len(phases)
    kept = min(MOST_KEPT, len(phases))
    ends = [len(phases) * number // max(1, kept) for number in range(kept + 1)]
    for first, last in pairwise(ends):
        lattice = Lattice(phases[first], orientation.bounds.pitch)
        state.fallen += [
            Fallen(LatticePosition(0, -1, orientation, lattice, table), count=last - first) for table in orientation.tables
        ]


def _add(
    state: SearchState, orientation: Orientation, phases: Sequence[tuple[float, float]], floors: Sequence[float],
    staying: Sequence[int], found: list[LatticePosition],
) -> None:  # fmt: skip
    """Add some lattice positions whose floors are finite."""
    for phase, floor, most in zip(phases, floors, staying, strict=True):
        lattice = Lattice(phase, orientation.bounds.pitch)
        if floor == math.inf:
            state.tally.refused["locate.lattice"] += 1
            state.fallen += [Fallen(LatticePosition(0, -1, orientation, lattice, table)) for table in orientation.tables]
            continue
        for table in orientation.tables:
            stay = most if state.kept is not None and table.id == state.kept.table else 0
            least = state.price.cents(orientation.premium + floor) + state.price.moving(stay)
            found.append(LatticePosition(least, state.next_number(), orientation, lattice, table, staying=stay))


def _add_kept_order(state: SearchState, orientation: Orientation, found: list[LatticePosition]) -> None:
    """Add the position at which the weldment lies as in the plan to keep, its parts in that plan's order, if it is another."""
    if state.kept is None or orientation.laid.order is None or orientation.lacking:
        return
    number = {part.id: part.index for part in orientation.laid.parts}
    order = tuple(number[id] for id in state.kept.order if id in number)
    if len(order) == len(number) and order != orientation.laid.order:
        _add_kept(state, in_orders(orientation, [order]), found)


def _add_kept(state: SearchState, orientation: Orientation, found: list[LatticePosition]) -> None:
    """Add the position at which the weldment lies as it lies in the plan to keep, to be asked first."""
    for table in orientation.tables if state.kept is not None else ():
        place = state.kept.place(table, orientation.lie, orientation.laid.lift) if state.kept is not None else None
        if place is not None:
            orientation.kept_seat = place
            found.append(
                LatticePosition(
                    0, state.next_number(), orientation, place[0], table, seat=place[1], kept=True, staying=state.price.standing
                )
            )
