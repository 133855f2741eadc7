"""Jobs that grow in one respect only."""

from __future__ import annotations

from tests.benchmarks.grown_jobs import TABLE, frame, half_a_shelf, holes, near_copies, on_table
from tests.benchmarks.growth import BARS
from tests.benchmarks.shop import SHOP


def test_a_frame_has_as_many_bars_as_asked_and_a_tack_at_every_joint() -> None:
    frames = [frame(bars) for bars in BARS]
    assert [len(asked.weldment.parts) for asked in frames] == [2, 3, 4, 6, 8]
    assert [len(asked.weldment.welds) for asked in frames] == [1, 2, 4, 8, 12]


def test_a_table_has_holes_all_over_and_pieces_of_one_peg() -> None:
    shop = on_table((1600.0, 1000.0), 40.0)
    table = SHOP.tables[TABLE]
    assert holes(shop) == table.columns * table.rows == 39 * 24
    assert shop.items.keys() == shop.lines.keys() and "square-60" not in shop.items and "arm-80" not in shop.items
    assert holes(on_table((1600.0, 1000.0), 25.0)) == 63 * 39


def test_shelves_are_half_and_twice_the_shop() -> None:
    half, twice = half_a_shelf(), near_copies()
    assert (len(half.items), len(SHOP.items), len(twice.items)) == (17, 34, 68)
    assert half.lines.keys() == half.items.keys() and twice.lines.keys() == twice.items.keys()
    assert twice.items["rest-20-b"].day_rate_cents == SHOP.items["rest-20"].day_rate_cents + 1
    assert twice.free("rest-20-b") == SHOP.free("rest-20")
