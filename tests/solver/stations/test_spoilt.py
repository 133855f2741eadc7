"""Plans of two stations, spoilt: the checker says what is not equal, what is too near, what is missing."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np

from inventory.shapes import as_matrix
from inventory.tables import hole_label, parse_hole
from solver.checks import check_alternative
from solver.plans import Alternative, Placement
from tests.solver.stations.jobs import two_bars

PITCH = 40.0


def broken(changed: Alternative, stations: int = 2) -> set[str]:
    request, stock, _ = two_bars()
    return {finding.rule for finding in check_alternative(replace(request, stations=stations), stock, changed) if not finding.ok}


def plan() -> Alternative:
    return two_bars()[2].alternatives[0]


def a_hole_on(piece: Placement, columns: int, rows: int) -> Placement:
    """A piece so many holes on, its solids and contacts with it."""
    assert piece.hole is not None
    column, row = parse_hole(piece.hole)
    move = np.eye(4)
    move[:2, 3] = PITCH * columns, PITCH * rows

    def on(point: tuple[float, float, float]) -> tuple[float, float, float]:
        return point[0] + PITCH * columns, point[1] + PITCH * rows, point[2]

    return replace(
        piece,
        hole=hole_label((column + columns, row + rows)),
        solids=tuple(solid.placed(move) for solid in piece.solids),
        open_solids=None if piece.open_solids is None else tuple(solid.placed(move) for solid in piece.open_solids),
        contacts=tuple(replace(contact, at=on(contact.at), patch=tuple(map(on, contact.patch))) for contact in piece.contacts),
    )


def with_pieces(change: Callable[[Placement], Placement]) -> Alternative:
    return replace(plan(), placements=tuple(change(piece) for piece in plan().placements))


def test_the_plan_as_it_is() -> None:
    assert broken(plan()) == set()


def test_one_piece_a_hole_on_is_no_equal_station() -> None:
    moving = next(piece.id for piece in plan().placements if piece.station == 2 and piece.locates)
    assert "stations.equal" in broken(with_pieces(lambda piece: a_hole_on(piece, 0, 1) if piece.id == moving else piece))


def test_another_setting_is_no_equal_station() -> None:
    clamp = next(piece for piece in plan().placements if piece.station == 2 and piece.setting_mm is not None)
    assert clamp.setting_mm is not None
    other = clamp.setting_mm + 1.0
    assert "stations.equal" in broken(with_pieces(lambda piece: replace(piece, setting_mm=other) if piece is clamp else piece))


def test_a_weldment_off_the_pitch_is_no_equal_station() -> None:
    first, second = plan().stations
    place = np.array(second.weldment_to_table)
    place[0, 3] += 1.0
    assert "stations.equal" in broken(replace(plan(), stations=(first, replace(second, weldment_to_table=as_matrix(place)))))


def test_two_stations_in_one_place_are_too_near() -> None:
    """The second station's pieces moved into the first one's."""
    first, second = plan().stations
    here, there = np.array(first.weldment_to_table), np.array(second.weldment_to_table)
    columns, rows = (round(float(step)) for step in (here[:2, 3] - there[:2, 3]) / PITCH)
    together = with_pieces(lambda piece: a_hole_on(piece, columns, rows) if piece.station == 2 else piece)
    failed = broken(replace(together, stations=(first, replace(second, weldment_to_table=first.weldment_to_table))))
    assert "clear.body" in failed
    assert "stations.equal" not in failed


def test_a_station_that_is_missing() -> None:
    assert "stations.count" in broken(plan(), stations=3)


def test_a_piece_at_no_station() -> None:
    assert "stations.count" in broken(with_pieces(lambda piece: replace(piece, station=None) if piece.station == 2 else piece))
