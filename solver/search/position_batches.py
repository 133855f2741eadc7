"""Lattice positions surveyed together, then seated one by one: what can stand there on which seats; and floors raised by it."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import replace
from functools import partial
from itertools import pairwise

import numpy as np

from inventory.shapes import Array
from solver.hardware.candidates import Lattice
from solver.hardware.screening import screen
from solver.hardware.sites import Sites, find_sites
from solver.laying.laid_weldment import LaidWeldment
from solver.ledgers.kept import News, learning, take_in
from solver.position.asked_pieces.asked_seats import AskedSeats, SeatGroup, asked_seats, names_places
from solver.position.asked_pieces.asked_sites import not_avoided, pins_may_be_met
from solver.position.asked_pieces.lattices import meeting_pins
from solver.position.floors.screened_floors import Least, Survey, survey
from solver.position.floors.site_floors import clamping_floor, locating_floor, placing_floor
from solver.position.floors.standing_seats import standing_at
from solver.position.seatings import Seating, Seatings, lying_at, seating_at, seatings_of
from solver.position.seats import off_table, usable_holes
from solver.position.torch_screen import shutting_alone
from solver.request import Without
from solver.search.lattice_position import Fallen, LatticePosition
from solver.search.orientation import Orientation
from solver.search.side_by_side import side_by_side
from solver.search.sorts.kept_seats import opened_seats, seats_elsewhere
from solver.search.state import SearchState
from solver.search.variants.at_position import same_pieces, seated_beside, sites_beside, together

SHARE_MATCHES = 3_000
"""Positions times pads and faces that can meet are at least so many in a share of a batch: less is as soon done alone."""


def survey_together(state: SearchState, positions: Sequence[LatticePosition], most: int | None = None) -> list[LatticePosition]:
    """Survey a few positions of one orientation together; return those that stay in the running, floors raised.

    Of those that turn out to cost more than `most` (cents) only the floors are raised; they are looked at again when asked.
    """
    orientation = positions[0].orientation
    state.tally.surveyed += len(positions)
    positions = _meeting_pins(state, orientation, positions)
    if not positions:
        return []
    lattices = [position.lattice for position in positions]
    shares = orientation.bounds.shares_at(np.array([lattice.phase for lattice in lattices]))
    limit = (
        math.inf
        if most is None or any(position.kept for position in positions)
        else state.price.pieces_at(most - state.price.moving(max(position.staying for position in positions)))
    )
    least = Least(*shares, limit - orientation.premium, orientation.hard)
    found = _surveyed(state, orientation, lattices, least)
    orientation.hard = found.hard
    running: list[LatticePosition] = []
    for number, position in enumerate(positions):
        if found.floor[number] == math.inf:
            state.fallen.append(Fallen(position))
            continue
        if not position.kept:
            position.floor = max(
                position.floor,
                state.price.cents(orientation.premium + float(found.floor[number])) + state.price.moving(position.staying),
            )
        position.surveyed = bool(found.complete[number])
        running.append(position)
    return running


def _meeting_pins(
    state: SearchState, orientation: Orientation, positions: Sequence[LatticePosition]
) -> Sequence[LatticePosition]:
    """Return the positions at which for each pin something may stand that is such a piece; the others have fallen."""
    if not state.request.pins:
        return positions
    lattices = [position.lattice for position in positions]
    alive = meeting_pins(state.request.pins, orientation.reach, orientation.laid, lattices, screened=True)
    state.fallen += [Fallen(position) for position, meets in zip(positions, alive, strict=True) if not meets]
    return [position for position, meets in zip(positions, alive, strict=True) if meets]


def _surveyed(state: SearchState, orientation: Orientation, lattices: Sequence[Lattice], least: Least) -> Survey:
    """Return the survey of some lattices, in even shares side by side where there is enough to do."""
    bounds, count = orientation.bounds, len(lattices)
    shares = max(1, min(state.workers, count, count * len(bounds.found) // SHARE_MATCHES))
    ends = [count * number // shares for number in range(shares + 1)]

    def share(some: slice) -> tuple[Survey, Counter[str], News]:
        refused: Counter[str] = Counter()
        with learning() as news:
            return survey(bounds, orientation.torch, lattices[some], least.of(some), refused), refused, news

    found = side_by_side([partial(share, slice(*pair)) for pair in pairwise(ends)])
    for _, refused, news in found:
        state.tally.refused.update(refused)
        take_in(news)
    return Survey.joined([survey for survey, _, _ in found])


def seated(state: SearchState, position: LatticePosition, most: int | None = None) -> Iterator[LatticePosition]:
    """Yield a surveyed position for each seat that may matter, with the sites that find usable holes there, its floor raised.

    In a re-plan every seat matters at which pieces may stay; of these, only those worth at most `most` (cents) are seats yet.
    None does once nothing can stand on one as good as any.
    """
    if _proved_empty(state, position):
        return
    if position.elsewhere:
        yield from opened_seats(state, position, position.elsewhere, most)
        return
    orientation = position.orientation
    sites = position.sites or allowed_sites(state, position)
    if not pins_may_be_met(state.request, position.table, orientation.laid, sites):
        state.fallen.append(Fallen(position))
        return
    if names_places(state.request):
        yield from _on_seats_asked(state, position, sites)
        return
    seatings = _seatings(state, position, sites)
    if seatings.left or seatings.wide:
        state.untried("seats", position.floor)
    state.tally.refused["table.size"] += not seatings.seatings
    if not seatings.seatings:
        state.fallen.append(Fallen(position, homeless=True))
    lie, table = orientation.lie, position.table
    standing = {} if state.kept is None else dict(standing_at(state.kept, table, lie, sites))
    for count, seating in enumerate(seatings.seatings):
        staying = min(position.staying, standing.pop((seating.seat.turn, seating.seat.shift), 0))
        own = sites.where(seating.usable) if not seating.usable.all() else sites
        state.tally.refused["table.hole"] += int((~seating.usable).sum())
        hung = None if seating.laid is orientation.laid else seating.laid
        whole = bool(seating.usable.all()) and hung is None and not seatings.wide
        there = replace(position, seat_number=count, seat=seating.seat, sites=own, hung=hung, whole=whole)
        if orientation.variants and not _take_variants(state, there):
            state.fallen.append(Fallen(there, homeless=True))
            continue
        yield from _ready(state, there, staying)
    if position.seat is None and standing:
        yield from opened_seats(state, position, seats_elsewhere(state, position, standing), most)


def _take_variants(state: SearchState, there: LatticePosition) -> bool:
    """Put the variants on a position's seat, with what serves all of them; return whether they lie on the table there."""
    assert there.sites is not None and there.seat is not None
    orientation = there.orientation
    there.sites, beside = same_pieces(there.sites, _sites_beside(state, there))
    found = seated_beside(orientation.variants, there.lattice, there.seat, orientation.laid.order, beside)
    there.beside = found or ()
    return found is not None


def _sites_beside(state: SearchState, position: LatticePosition) -> list[Sites]:
    """Return what can stand at a position for each variant, as far as it can for the request's own weldment."""
    if not position.orientation.variants:
        return []
    for other, _, beside in state.sites_seen:
        if _alike(other, position):
            return beside
    allowed_sites(state, position)
    return state.sites_seen[-1][2]


def _alike(one: LatticePosition, other: LatticePosition) -> bool:
    """Return whether two positions are one but for their seats."""
    return one.orientation is other.orientation and one.lattice == other.lattice and one.table.id == other.table.id


def _proved_empty(state: SearchState, position: LatticePosition) -> bool:
    """Return whether it was proved that nothing can stand, at any price, on a seat of a position that is as good as any."""
    return not state.tally.dropped and any(
        fallen.program is not None
        and fallen.position.whole
        and fallen.position.orientation is position.orientation
        and fallen.position.lattice == position.lattice
        and fallen.position.table.id == position.table.id
        for fallen in state.fallen
    )


def _on_seats_asked(state: SearchState, position: LatticePosition, sites: Sites) -> Iterator[LatticePosition]:
    """Yield a position once for all seats at which its weldment lies alike and the pins may be met; its model chooses one."""
    orientation = position.orientation
    if position.seat is not None:
        usable = ~off_table(
            sites, np.arange(len(sites)), position.seat, usable_holes(position.table, state.request.without),
            state.request.rules["clear.table_edge"],
        )  # fmt: skip
        found = AskedSeats((SeatGroup((position.seat,), position.laid, usable),))
    else:
        found = asked_seats(state.request, position.table, orientation.laid, position.lattice, orientation.lie, sites)
    if found.left:
        state.untried("seats", position.floor)
    if not found.groups:
        state.fallen.append(Fallen(position))
    for count, group in enumerate(found.groups):
        there = replace(position, seat_number=count, seat=group.seats[0], seats=group.seats, sites=sites.where(group.usable))
        there.hung = None if group.laid is orientation.laid else group.laid
        yield from _ready(state, there, position.staying)


def _ready(state: SearchState, there: LatticePosition, staying: int) -> Iterator[LatticePosition]:
    """Yield a position on its seat, its floor raised by what can stand there and pieces that cannot stay, if anything can."""
    own, orientation = there.sites, there.orientation
    assert own is not None
    prices = np.array(orientation.bounds.prices)
    there.ready = True
    there.locating = np.array([float(locating_floor(own, there.laid, part, prices)[0]) for part in there.laid.parts])
    floor = _least_of(own, there.laid, prices)
    for variant in there.beside:
        if math.isfinite(floor):
            floor = max(floor, _least_of(variant.sites, variant.laid, np.array(variant.orientation.bounds.prices)))
    if not math.isfinite(floor):
        state.fallen.append(Fallen(there))
        return
    if not there.kept:
        there.floor = max(there.floor, state.price.cents(orientation.premium + floor) + state.price.moving(staying))
    yield there


def _least_of(sites: Sites, laid: LaidWeldment, prices: Array) -> float:
    """Return what pieces that locate and clamp a weldment cost at least, cents; infinite if there are none."""
    floor = sum(float(placing_floor(sites, part.index, laid, prices)[0]) for part in laid.parts)
    return floor + float(clamping_floor(sites, laid, prices)[0]) if math.isfinite(floor) else floor


def allowed_sites(state: SearchState, position: LatticePosition) -> Sites:
    """Return all that can stand at a position and is not avoided wherever it stands; of those asked last, as it was found."""
    orientation, refused = position.orientation, state.tally.refused
    for other, kept, _ in state.sites_seen:
        if _alike(other, position):
            return kept
    sites = usable_sites(orientation, position.lattice, refused)
    kept = not_avoided(state.request, position.table, orientation.laid, sites)
    refused["request.avoid"] += len(sites) - len(kept)
    beside: list[Sites] = []
    if orientation.variants:
        whole = len(kept)
        kept, beside = same_pieces(kept, sites_beside(orientation, position.lattice))
        refused["variants.same_pieces"] += whole - len(kept)
    state.sites_seen.append((position, kept, beside))
    return kept


def usable_sites(orientation: Orientation, lattice: Lattice, refused: Counter[str]) -> Sites:
    """Return all that can stand at a position: what keeps its clearances, and shuts the torch out of no weld alone."""
    sites = screen(find_sites(orientation.reach, [lattice]), orientation.laid, refused)
    shut = shutting_alone(sites, orientation.torch)
    refused["torch.work_tolerance"] += int(shut.sum())
    return sites.where(~shut) if shut.any() else sites


def _seatings(state: SearchState, position: LatticePosition, sites: Sites) -> Seatings:
    """Return the seats of a position: of one to keep the one that stands, of all others those that may matter."""
    table, without, edge = position.table, state.request.without, state.request.rules["clear.table_edge"]
    orientation = position.orientation
    if position.seat is None and orientation.variants:
        return _seatings_for_all(orientation, position, without, sites, edge)
    if position.seat is None:
        return seatings_of(table, orientation.laid, position.lattice, orientation.lie, without, sites, edge)
    if not position.kept:
        there = seating_at(table, orientation.laid, position.lattice, position.seat, without, sites, edge)
        return Seatings(() if there is None else (there,))
    there_laid = lying_at(position.laid, position.lattice, position.seat)
    if there_laid is None:
        return Seatings(())
    usable = ~off_table(sites, np.arange(len(sites)), position.seat, usable_holes(table, without), edge)
    return Seatings((Seating(position.seat, there_laid, usable),))


def _seatings_for_all(
    orientation: Orientation, position: LatticePosition, without: Without, sites: Sites, edge: float
) -> Seatings:
    """Return the seats of a position that may matter to a weldment and its variants, judged by how wide they are together."""
    table, wide = position.table, together(orientation.laid, orientation.variants)
    found = seatings_of(table, wide, position.lattice, orientation.lie, without, sites, edge)
    own = [(seating, lying_at(orientation.laid, position.lattice, seating.seat)) for seating in found.seatings]
    seatings = tuple(replace(seating, laid=laid) for seating, laid in own if laid is not None)
    return Seatings(seatings, found.left, any(seating.laid is not wide for seating in found.seatings) or not seatings)
