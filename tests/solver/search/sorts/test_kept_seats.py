"""A re-plan shifts the weldment where that lets more pieces stay; no place of it lets more stay than the plan has."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from functools import cache

import pytest

from inventory.stock import StockSnapshot
from inventory.tables import parse_hole
from solver.deadline import Deadline
from solver.hardware.candidates import Lattice
from solver.hardware.sites import Sites
from solver.laying.lay_out import drawn_samples
from solver.model.program import Program
from solver.planning import plan
from solver.plans import Alternative, Plan
from solver.request import Request, Without
from solver.search import position_batches
from solver.search.lattice_position import Fallen
from solver.search.orientation import Orientation
from solver.search.position_batches import allowed_sites, seated
from solver.search.search import Search
from tests import builders as b

PITCH = 40.0
AROUND = [(x * PITCH, y * PITCH) for x in (-1, 0, 1) for y in (-1, 0, 1)]
ALONG = [(x, y) for x in (-25.0, -10.0, 15.0, 80.0) for y in (0.0,)]


@cache
def standing(name: str) -> tuple[Request, StockSnapshot, Alternative]:
    weldment = b.weldment(b.bar(length=240)) if name == "bar" else b.tab_on_tube()
    request, stock = b.request(weldment, alternatives=1), b.plain_shelf()
    return request, stock, planned(request, stock).alternatives[0]


def planned(request: Request, stock: StockSnapshot) -> Plan:
    return plan(request, stock, deadline=Deadline(lambda: 600.0))


def blocked(request: Request, keep: Alternative, hole: str) -> Request:
    return replace(request, keep=keep, without=Without({}, frozenset({(None, parse_hole(hole))})))


def shifted(keep: Alternative, x: float, y: float) -> Alternative:
    """The plan that stands as if its weldment had lain elsewhere: then that place is asked first, and piece by piece."""
    rows = [list(row) for row in keep.stations[0].weldment_to_table]
    rows[0][3] += x
    rows[1][3] += y
    place = tuple((a, b, c, d) for a, b, c, d in rows)
    station = replace(keep.stations[0], weldment_to_table=place)
    return replace(keep, stations=(station,))


def test_a_bar_is_turned_end_for_end_on_its_stops_rather_than_all_pieces_moved() -> None:
    """The hole of the end stop is blocked: a stop at the other end lets both side stops and the clamp stay."""
    request, stock, keep = standing("bar")
    stop = next(one for one in keep.placements if one.why.startswith("end"))
    again = planned(blocked(request, keep, stop.hole or ""), stock)
    best = again.alternatives[0]
    assert again.status == "optimal"
    assert {change.piece for change in best.changes or ()} & {one.id for one in keep.placements} == {stop.id}
    assert best.cost.total_cents == keep.cost.total_cents + int(request.rules["weights.moved_piece"])


def no_place_lets_more_stay(name: str, holes: int, places: list[tuple[float, float]]) -> None:
    request, stock, keep = standing(name)
    for placed in keep.placements[-holes:]:
        if placed.hole is None:
            continue
        best = planned(blocked(request, keep, placed.hole), stock).alternatives[0].cost.total_cents
        for x, y in places:
            there = planned(blocked(request, shifted(keep, x, y), placed.hole), stock)
            assert best <= there.alternatives[0].cost.total_cents, (placed.id, x, y)


def test_no_place_nearby_lets_more_pieces_stay() -> None:
    no_place_lets_more_stay("bar", 2, AROUND[:3])


@pytest.mark.slow
@pytest.mark.parametrize("name", ["bar", "tab"])
def test_no_place_lets_more_pieces_stay(name: str) -> None:
    no_place_lets_more_stay(name, 9, AROUND + ALONG)


def test_all_seats_of_a_position_fall_with_one_that_is_as_good_as_any(monkeypatch: pytest.MonkeyPatch) -> None:
    """What can stand at the position is found once for all its seats."""
    request, stock, keep = standing("bar")
    search = Search(
        replace(request, keep=keep), stock, drawn_samples(request.weldment, request.rules)[0], Deadline(lambda: 600.0)
    )
    search.open()
    asked, usable = Counter[str](), position_batches.usable_sites

    def counted(orientation: Orientation, lattice: Lattice, refused: Counter[str]) -> Sites:
        asked["sites"] += 1
        return usable(orientation, lattice, refused)

    monkeypatch.setattr(position_batches, "usable_sites", counted)
    several = 0
    for position in search.positions:
        if position.kept or not (seats := list(seated(search, replace(position, surveyed=True)))):
            continue
        ready, others = [seat for seat in seats if seat.ready], [seat for seat in seats if seat.elsewhere]
        if not others:
            continue
        several += 1
        assert ready[0].whole and list(seated(search, others[0]))
        search.fallen.append(Fallen(replace(ready[0], whole=False), Program()))
        assert list(seated(search, others[0]))
        search.fallen.append(Fallen(ready[0], Program()))
        assert not list(seated(search, others[0]))
        search.tally.dropped = 1  # a choice the checker refused: it was no proof
        assert list(seated(search, others[0]))
        search.tally.dropped, seen = 0, asked.total()
        allowed_sites(search, position)
        assert asked.total() == seen > 0
    assert several > 2
