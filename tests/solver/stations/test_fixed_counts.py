"""A number of stations asked for: equal fixtures that pass the checker, at the price of all of them, or why there is no room."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace

import pytest

from service.documents import plan_document
from solver.checks import check
from solver.plans import Permission
from tests import builders as b
from tests.solver.stations.jobs import bars, planned, shelf, two_bars


def test_two_stations_are_planned_and_proved() -> None:
    request, stock, answer = two_bars()
    best = answer.alternatives[0]
    assert (answer.status, len(best.stations)) == ("optimal", 2)
    assert [station.number for station in best.stations] == [1, 2]
    report = check(request, stock, plan_document(answer))
    assert report.ok, report.failed


def test_every_piece_stands_once_a_station() -> None:
    """Two fixtures take twice the pieces of one: kit, table and ids say so."""
    _, _, answer = two_bars()
    best = answer.alternatives[0]
    by_station = [Counter(piece.item for piece in best.placements if piece.station == number) for number in (1, 2)]
    assert by_station[0] == by_station[1]
    assert {line.item: line.count for line in best.kit} == {item: 2 * count for item, count in by_station[0].items()}
    assert len({piece.id for piece in best.placements}) == len(best.placements)


def test_setup_is_paid_twice_and_a_round_is_shared() -> None:
    """A walk is made once; of the cycle, the shared part once a round: 1 - 0.4 (1 - 1/2) = 0.8 of it is left."""
    alone, both = planned(bars(1), shelf()).alternatives[0], two_bars()[2].alternatives[0]
    assert both.setup_s - 60 == 2 * (alone.setup_s - 60)
    assert both.cost.tie_up_cents == 2 * alone.cost.tie_up_cents
    assert alone.cycle_s * 0.8 <= both.cycle_s < alone.cycle_s * 0.8 + 1


def test_a_table_with_room_in_one_direction_only() -> None:
    answer = planned(bars(2, turn=b.SQUARE_TURNS), shelf(columns=7, rows=5))
    assert (answer.status, len(answer.alternatives)) == ("optimal", 1)


@pytest.mark.slow
def test_no_room_is_said_and_fewer_stations_are_offered() -> None:
    request, stock = bars(3, time_limit_s=60), shelf(columns=6, rows=5)
    answer = planned(request, stock)
    assert answer.status == "infeasible"
    assert answer.refused is not None
    assert {reason.rule for reason in answer.refused.because} == {"stations.beside", "locate.side"}
    fewer = [repair for repair in answer.refused.would_help if isinstance(repair, Permission) and repair.what == "stations"]
    assert [(repair.given, repair.other) for repair in fewer] == [("3", "2")]
    report = check(request, stock, plan_document(answer))
    assert report.ok, report.failed


def test_pieces_for_one_station_are_too_few_for_two() -> None:
    """One fixture takes four stops and a clamp at least; what is missing for two is counted for both."""
    answer = planned(bars(2), shelf(count=3))
    assert answer.status == "infeasible"
    assert answer.refused is not None
    assert any(reason.rule == "stock.counted" and "needed, 3 free" in reason.text for reason in answer.refused.because)


def test_missing_pieces_are_bought_for_all_stations() -> None:
    request, stock = bars(2, shortage="price"), shelf(count=1)
    answer = planned(request, stock)
    best = answer.alternatives[0]
    assert answer.status == "optimal"
    assert best.cost.shortage_cents == 3000 * sum(line.count - 1 for line in best.kit)
    report = check(request, stock, plan_document(answer))
    assert report.ok, report.failed


def test_a_table_bears_all_stations() -> None:
    """What one station weighs, and a little more, is too little for two."""
    stock = shelf()
    pieces = planned(bars(1), stock).alternatives[0].placements
    mass = sum(stock.items[piece.item].mass_kg for piece in pieces) + 0.16 * 0.05 * 0.01 * 7850
    strong = shelf(max_load_kg=round(mass + 0.1, 3))
    assert planned(bars(1), strong).status == "optimal"
    answer = planned(bars(2), strong)
    assert answer.status == "infeasible"
    assert answer.refused is not None
    assert "table.max_load" in [reason.rule for reason in answer.refused.because]


def test_alternatives_are_other_kits() -> None:
    request, stock = bars(2, alternatives=3), shelf()
    answer = planned(request, stock)
    report = check(request, stock, plan_document(answer))
    assert report.ok, report.failed
    assert len(answer.alternatives) > 1


def test_the_same_plan_every_time() -> None:
    request, stock, answer = two_bars()
    assert replace(planned(request, stock), solve_s=0.0) == replace(answer, solve_s=0.0)
