"""Weldments longer than their table, chains of parts on parts, parts at different heights, and what a table bears."""

from __future__ import annotations

import numpy as np
import pytest

from tests import builders as b
from tests.solver.kinds.shop import full_shelf, impossible, pieces, planned

SMALL = b.plain_shelf()
ON_EDGE = b.shelf(
    (b.stop("low", height=25), 6), (b.stop("stop-20", face=20), 4), (b.down_clamp("tall-clamp", low=100, high=330), 3)
)  # fmt: skip


@pytest.mark.slow
@pytest.mark.parametrize("length", [1000.0, 1200.0, 1500.0])
def test_a_tube_longer_than_its_table_hangs_over_one_edge(length: float) -> None:
    found = planned(b.weldment(b.tube(length=length)), SMALL)
    best = found.alternatives[0]
    start = best.weldment_to_table[0][3]
    size = SMALL.tables["T1"].size[0]
    assert (start < 0) != (start + length > size), "one end hangs over, the other has room for its stop"
    assert 0 < start + length / 2 < size, "its centre of gravity lies over the table"
    assert best.parts[0].rests_on == ("table",)


def test_a_tube_three_times_its_table_would_tip() -> None:
    assert impossible(b.weldment(b.tube(length=3000)), b.shelf((b.stop(), 8), (b.down_clamp(), 12)))


def test_a_tube_hangs_over_the_edge_across_too() -> None:
    narrow = b.table(columns=18, rows=24)
    shelf = b.shelf(*((item, 6) for item in SMALL.items.values()), tables=[narrow])
    across = b.tube(length=1200, along=b.Y)
    best = planned(b.weldment(across), shelf).alternatives[0]
    start = best.weldment_to_table[1][3]
    assert (start < 0) != (start + 1200 > narrow.size[1])


@pytest.mark.slow
def test_five_plates_lie_on_each_other() -> None:
    plates = [b.plate(f"p{k}", (200, 150 - 20 * k), 10, (0, 0, 10 * k)) for k in range(5)]
    found = planned(b.weldment(*plates), full_shelf())
    best = found.alternatives[0]
    assert [step.part for step in best.load] == [f"p{k}" for k in range(5)]
    assert [part.rests_on for part in best.parts] == [("table",), *((f"p{k}",) for k in range(4))]


@pytest.mark.parametrize("down", ["-y", "+x"])
def test_five_plates_lean_on_each_other_in_a_row(down: str) -> None:
    """The stack on its side: every plate stands on the table on edge; stops take the first one's side, each takes the next one's."""
    row = b.weldment(*(b.plate(f"p{k}", (160, 120), 20, (0, 0, 20 * k)) for k in range(5)))
    best = planned(row, ON_EDGE, down=(down,)).alternatives[0]
    assert [part.rests_on for part in best.parts] == [("table",)] * 5
    by_side = {part for p in best.placements for part, role in p.locates if role == "side"}
    assert by_side == {"p0"}, "four deep, nothing but plates holds the last plate's side"
    assert [(mate.part, mate.on) for mate in best.part_contacts] == [(f"p{k + 1}", f"p{k}") for k in range(4)]
    pressed = [{contact.part for contact in p.contacts} for p in best.placements if p.item == "tall-clamp"]
    assert len(pressed) == 3 and set().union(*pressed) == {part.id for part in best.parts}, (
        "two plates under a tip on their border"
    )


def test_parts_at_different_heights_lie_on_table_and_rests() -> None:
    low, high = b.plate("low", (200, 100), 10), b.plate("high", (100, 80), 10, (210, 0, 50))
    found = planned(b.weldment(low, high), full_shelf(without=("riser", "riser-60")))
    assert pieces(found).count("rest") >= 3
    rests = {p.id for p in found.alternatives[0].placements if p.item == "rest"}
    assert set(found.alternatives[0].parts[1].rests_on) == rests


def test_a_bar_lies_on_a_tube_and_a_rest_of_its_height() -> None:
    over = b.bar("over", 40, 10, 300, (150, -25, 55), b.Y)
    weld = b.fillet("w", ("tube", "over"), (130, -25, 50), (130, 20, 50))
    found = planned(b.weldment(b.tube(length=300), over, welds=[weld]), full_shelf(without=("riser", "riser-60")))
    best = found.alternatives[0]
    assert "rest" in pieces(found)
    assert set(best.parts[1].rests_on) == {"tube", *(p.id for p in best.placements if p.item == "rest")}
    assert np.allclose([mate.normal for mate in best.part_contacts], [[0, 0, 1]])


def test_a_stack_of_risers_carries_a_rest_to_its_height() -> None:
    low, high = b.plate("low", (200, 100), 10), b.plate("high", (100, 80), 10, (210, 0, 90))
    found = planned(b.weldment(low, high), full_shelf(without=("riser-60", "rest-35")))
    best = found.alternatives[0]
    stacked = [p for p in best.placements if p.item == "rest"]
    assert stacked and all(p.stands_on for p in stacked)
    assert all(p.contacts[0].at[2] == pytest.approx(90) for p in stacked)
