"""Positions of the table taken up again after the search gave them up: sites, problem and model, made anew.

Those it gave up before they had a place on the lattice are given one: a few of the places that their lie has.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence, Set
from dataclasses import replace
from typing import TypeVar

import numpy as np

from inventory.shapes import Array
from solver.geometry.hulls import Flags
from solver.hardware.candidates import Lattice
from solver.hardware.lattice_positions import positions_of
from solver.hardware.screening import screen
from solver.hardware.sites import Sites, find_sites
from solver.model.position_model import PositionModel
from solver.position.asked_pieces.asked_seats import asked_seats, names_places
from solver.position.floors.match_floors import MatchFloors
from solver.position.problem_of import problem_of
from solver.position.seatings import seatings_of
from solver.position.seats import off_table, usable_holes
from solver.search.lattice_position import LatticePosition
from solver.search.orientation import Orientation
from solver.search.search import Search
from solver.search.variants.at_position import VariantAt, problems_beside, same_pieces, seated_beside, sites_beside

T = TypeVar("T")
MOST_RANKED = 1000
"""Of so many lattice positions of a lie those that shut the least are found; of more, of so many evenly from all."""
RANKED_MATCHES = 400_000
"""Of the positions ranked, times pads and faces that can meet, so many at most: that is what ranking them takes."""


def placed(search: Search, position: LatticePosition, refused: Counter[str]) -> Sites | None:
    """Return all that can stand at a position on its seat, None if the weldment has no seat on the table there.

    `refused` counts the sites that fall out, by rule.
    """
    orientation, request = position.orientation, search.request
    sites = screen(find_sites(orientation.reach, [position.lattice]), orientation.laid, refused)
    edge, without = request.rules["clear.table_edge"], request.without
    if position.seat is None:
        seats = seatings_of(position.table, orientation.laid, position.lattice, orientation.lie, without, sites, edge)
        return sites if seats.seatings else None
    usable, rows = usable_holes(position.table, without), np.arange(len(sites))
    chosen = position.seats or (position.seat,)
    off: Flags = np.logical_and.reduce([off_table(sites, rows, seat, usable, edge) for seat in chosen])
    refused["table.hole"] += int(off.sum())
    return sites.where(~off)


def on_asked_seats(search: Search, position: LatticePosition) -> LatticePosition | None:
    """Return a position with the seats among which its model chooses, if the request names places; None if there are none."""
    if position.seat is not None or not names_places(search.request):
        return position
    orientation = position.orientation
    sites = screen(find_sites(orientation.reach, [position.lattice]), orientation.laid, Counter())
    found = asked_seats(search.request, position.table, orientation.laid, position.lattice, orientation.lie, sites)
    if not found.groups:
        return None
    best = found.groups[0]
    hung = None if best.laid is orientation.laid else best.laid
    return replace(position, seat=best.seats[0], seats=best.seats, hung=hung)


def model_of(search: Search, position: LatticePosition) -> PositionModel | None:
    """Return a position's model from every site and without floors; None if there is no room.

    Where several orders of loading are meant at once, it has one of them. It has the first rows, and those of the torch: what
    shuts a weld alone fell out before any model was built.
    """
    there = on_asked_seats(search, position)
    sites = None if there is None else placed(search, there, Counter())
    if there is None or sites is None:
        return None
    position, orientation = there, there.orientation
    choices = orientation.bounds.choices.laids
    laid = choices[position.number % len(choices)] if orientation.several else position.laid
    beside: tuple[VariantAt, ...] | None = ()
    if orientation.variants:
        sites, others = same_pieces(sites, sites_beside(orientation, position.lattice, torch=False))
        beside = seated_beside(orientation.variants, position.lattice, position.seat, laid.order, others)
    if beside is None:
        return None
    problem = problem_of(
        search.request, search.stock, laid, sites, orientation.torch, orientation.times, position.table, position.seats
    )
    model = PositionModel(problem, beside=problems_beside(search.request, search.stock, beside, position.table))
    model.ask_for_the_torch()
    return model


def seated_model_of(search: Search, position: LatticePosition) -> PositionModel | None:
    """Return a position's model on its seat, or on the best seat it has; None if the weldment has none on the table there."""
    if position.seat is not None or names_places(search.request):
        return model_of(search, position)
    orientation, request = position.orientation, search.request
    sites = screen(find_sites(orientation.reach, [position.lattice]), orientation.laid, Counter())
    edge = request.rules["clear.table_edge"]
    seats = seatings_of(position.table, orientation.laid, position.lattice, orientation.lie, request.without, sites, edge)
    if not seats.seatings:
        return None
    best = seats.seatings[0]
    there = replace(position, seat=best.seat, hung=None if best.laid is orientation.laid else best.laid)
    return model_of(search, there)


def places_of(orientation: Orientation, most: int, lifted: Set[str] = frozenset()) -> list[LatticePosition]:
    """Return at most so many lattice positions of an orientation, the most promising first: most parts find what locates them.

    Of those alike, most parts do on faces of any length.

    `lifted` are parts of which nothing is asked.
    """
    bounds = orientation.bounds
    some = phases_of(orientation, min(MOST_RANKED, 1 + RANKED_MATCHES // max(1, len(orientation.found))))
    asked = [part.id not in lifted for part in orientation.laid.parts]
    placing, pressing = bounds.shares_at(np.array(some))
    locating, easily = bounds.choices.by_part(placing)[:, asked], placed_by_part(bounds.on_any_face(), some)[:, asked]
    price = np.where(np.isinf(easily), 0.0, easily).sum(axis=1)
    order = np.lexsort((price, np.isinf(pressing), np.isinf(easily).sum(axis=1), np.isinf(locating).sum(axis=1)))
    table = orientation.tables[0]
    return [LatticePosition(0, -1, orientation, Lattice(some[k], bounds.pitch), table) for k in order[:most].tolist()]


def phases_of(orientation: Orientation, most: int = MOST_RANKED) -> list[tuple[float, float]]:
    """Return the lattice positions of an orientation, `most` of them, evenly from all, if there are more."""
    bounds = orientation.bounds
    phases = orientation.phases or positions_of(orientation.reach, orientation.laid, bounds.pitch, bounds.told_apart)[0]
    return spread(phases, most) or [(0.0, 0.0)]


def placed_by_part(bounds: MatchFloors, phases: Sequence[tuple[float, float]]) -> Array:
    """Return what locating and carrying each part costs at least at some lattice positions, (k, parts), cents."""
    return bounds.choices.by_part(bounds.shares_at(np.array(phases))[0])


def spread(entries: Sequence[T], most: int) -> list[T]:
    """Return at most so many entries, evenly from all."""
    count = min(most, len(entries))
    return [entries[k * len(entries) // count] for k in range(count)]
