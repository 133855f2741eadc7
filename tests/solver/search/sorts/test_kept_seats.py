"""A re-plan shifts the weldment where that lets more pieces stay; no place of it lets more stay than the plan has."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import pytest

from inventory.stock import StockSnapshot
from inventory.tables import parse_hole
from solver.deadline import Deadline
from solver.planning import plan
from solver.plans import Alternative, Plan
from solver.request import Request, Without
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
