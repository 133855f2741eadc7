"""Catalogue values made in Python refuse the same as documents: every fault at once, at the documents' field names."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any, get_args

import numpy as np
import pytest

from inventory.errors import InvalidDocument
from inventory.items import KINDS, Clamp, Contact, Kind, Slide
from inventory.outlines import face_faults
from inventory.shapes import Prism, as_matrix, turned
from inventory.stock import StockLine, StockSnapshot
from inventory.tables import Table, hole_label, parse_hole
from tests.builders import adjustable_stop, box, down_clamp, pin, plain_shelf, rest, riser, stop, table

SQUARE = ((0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (0.0, 10.0))


def pointers(make: Callable[[], Any]) -> list[str]:
    with pytest.raises(InvalidDocument) as refusal:
        make()
    assert all(fault.wrong and fault.accepted for fault in refusal.value.faults)
    return [fault.pointer for fault in refusal.value.faults]


def outline_faults(outline: Any, *cutouts: Any) -> list[str]:
    return [fault.pointer for fault in face_faults("/outline", "/cutouts", tuple(outline), cutouts)]


# --- outlines and prisms ----------------------------------------------------------------------------------------------


def test_an_outline_meets_itself_nowhere() -> None:
    assert outline_faults(SQUARE) == outline_faults(SQUARE[::-1]) == []
    assert outline_faults([(0, 0), (10, 10), (10, 0), (0, 10)]) == ["/outline"]
    assert outline_faults([(0, 0), (10, 0), (10, 10), (5, 0), (0, 10)]) == ["/outline"], "a vertex on another edge"
    assert outline_faults([(0, 0), (10, 0), (5, 0), (5, 10)]) == ["/outline"], "a spike along its own edge"
    assert outline_faults([(0, 0), (10, 0), (20, 0)]) == ["/outline"], "no area"
    assert outline_faults([(0, 0), (5, 0), (10, 0), (10, 10), (0, 10)]) == [], "a vertex on a straight side is fine"


def test_an_outline_is_not_closed_by_repetition_and_repeats_no_vertex() -> None:
    assert outline_faults([*SQUARE, SQUARE[0]]) == ["/outline/4"]
    assert outline_faults([SQUARE[0], SQUARE[1], SQUARE[1], SQUARE[2]]) == ["/outline/2"]
    assert outline_faults(SQUARE[:2]) == ["/outline"]


def test_cutouts_lie_strictly_inside_and_apart() -> None:
    hole = ((2.0, 2.0), (4.0, 2.0), (4.0, 4.0), (2.0, 4.0))
    assert outline_faults(SQUARE, hole, tuple((u + 4, v) for u, v in hole)) == []
    assert outline_faults(SQUARE, tuple((u - 2, v) for u, v in hole)) == ["/cutouts/0"], "touches the edge"
    assert outline_faults(SQUARE, tuple((u + 20, v) for u, v in hole)) == ["/cutouts/0"], "outside"
    assert outline_faults(SQUARE, hole, tuple((u + 1, v + 1) for u, v in hole)) == ["/cutouts/1"], "cross"
    assert outline_faults(SQUARE, hole, ((2.5, 2.5), (3, 2.5), (3, 3))) == ["/cutouts/1"], "one in the other"
    assert outline_faults(SQUARE, tuple(SQUARE)) == ["/cutouts/0"], "the outline itself"


def test_a_large_ring_is_judged_quickly_and_rightly() -> None:
    angles = np.linspace(0, 2 * np.pi, 1000, endpoint=False)
    wheel = [(float(u), float(v)) for u, v in zip(500 * np.cos(angles), 500 * np.sin(angles), strict=True)]
    assert outline_faults(wheel) == []
    wheel[0], wheel[500] = wheel[500], wheel[0]
    assert outline_faults(wheel) == ["/outline"]


def test_a_prism_goes_up_and_its_frame_is_rigid() -> None:
    assert pointers(lambda: Prism(SQUARE, 5, 5)) == ["/to"]
    mirrored = ((1.0, 0.0, 0.0, 0.0), (0.0, 1.0, 0.0, 0.0), (0.0, 0.0, -1.0, 0.0), (0.0, 0.0, 0.0, 1.0))
    assert pointers(lambda: Prism(SQUARE, 0, 5, (), mirrored)) == ["/frame"]
    stretched = as_matrix(np.diag([2.0, 1.0, 1.0, 1.0]))
    assert pointers(lambda: Prism(SQUARE, 0, 5, (), stretched)) == ["/frame"]
    far = as_matrix(turned(30, (0, 0, 25000)))
    assert pointers(lambda: Prism(SQUARE, 0, 5, (), far)) == ["/frame/2/3"]
    assert Prism(SQUARE, 0, 5, (), as_matrix(turned(30, (1, 2, 3)))).end == 5
    assert pointers(lambda: Prism(SQUARE[:2], float("nan"), 5, (), mirrored)) == ["/outline", "/from", "/frame"]


def test_a_placed_prism_equals_one_made_anew() -> None:
    prism = Prism(SQUARE, 0, 5)
    placed = prism.placed(turned(90, (1, 2, 3)))
    assert placed == Prism(SQUARE, 0, 5, (), as_matrix(turned(90, (1, 2, 3))))
    assert hash(placed) == hash(Prism(SQUARE, 0, 5, (), as_matrix(turned(90, (1, 2, 3)))))


# --- items ------------------------------------------------------------------------------------------------------------


def test_directions_are_normalised_as_values_are_made() -> None:
    assert Contact((0, 0, 0), (0, 3, 4), 10, 10).normal == (0, 0.6, 0.8)
    assert Contact((0, 0, 0), (0, -5, 0), 10, 10).normal == (0, -1, 0)
    assert Slide((0, 1e-200), 0, 5).axis == (0, 1)
    assert pointers(lambda: Contact((0, 0, 0), (0, 0, 0), 10, -1)) == ["/normal", "/height"]
    assert pointers(lambda: Contact((0, 0, 0), (0, float("inf"), 0), 10, 10)) == ["/normal"]


def test_a_slide_has_a_range_its_increments_fit() -> None:
    assert pointers(lambda: Slide((0, 1), 0, 25, 26)) == ["/step"]
    assert pointers(lambda: Slide((0, 1), 25, 0)) == ["/range"]
    assert pointers(lambda: Slide((0, 1), 5, 5)) == ["/range"]
    assert pointers(lambda: Slide((0, 1), 0, 25, -0.5)) == ["/step"]
    assert Slide((0, 1), 0, 25, 25).step == 25
    assert Slide((0, 1), 0, 25, 0).step == 0


def test_a_slide_runs_level_or_up_and_keeps_its_piece_above_the_table() -> None:
    assert Slide((0, 2), 0, 25).along == (0, 1, 0)
    assert Slide((0, 0, 2), 0, 25).along == (0, 0, 1)
    assert pointers(lambda: Slide((0, 0, 0), 0, 25)) == ["/axis"]
    assert pointers(lambda: Slide((1,), 0, 25)) == ["/axis"]  # type: ignore[arg-type]
    lifted = replace(adjustable_stop(), slide=Slide((0, 0, 1), 0, 25))
    assert pointers(lambda: replace(lifted, slide=Slide((0, 0, 1), -80, 25))) == ["/slide/range"]


def test_clamps_clamp_and_nothing_else_does() -> None:
    clamp = down_clamp()
    assert pointers(lambda: replace(clamp, clamp=None)) == ["/clamp"]
    assert pointers(lambda: replace(clamp, contacts=())) == ["/contacts"]
    assert pointers(lambda: replace(stop(), clamp=clamp.clamp)) == ["/clamp"]
    assert clamp.clamp is not None
    up = replace(clamp.clamp, direction=(0.0, 0.0, 1.0))
    assert pointers(lambda: replace(clamp, clamp=up)) == ["/clamp/direction"]
    away = replace(clamp.contacts[0], normal=(0.0, 0.0, 1.0))
    assert pointers(lambda: replace(clamp, contacts=(away,))) == ["/contacts/0/normal"]
    assert pointers(lambda: replace(clamp, slide=Slide((0, 1), 0, 5))) == ["/slide"]


def test_a_clamp_may_have_a_fixed_tip() -> None:
    tip = (0.0, 60.0, 20.0)
    assert Clamp(1000, (0, 0, -1), (tip, tip), 1, 1).reach == (tip, tip)
    assert pointers(lambda: Clamp(0, (0, 0, 0), (tip, (0, 0, 30000)), -1, 1)) == [
        "/force_n",
        "/direction",
        "/reach/1/2",
        "/close_s",
    ]


def test_kinds_have_what_they_need() -> None:
    assert pointers(lambda: replace(adjustable_stop(), slide=None)) == ["/slide"]
    assert pointers(lambda: replace(stop(), slide=Slide((0, 1), 0, 5))) == ["/slide"], "nothing moves"
    assert pointers(lambda: replace(rest(), contacts=())) == ["/contacts"]
    assert pointers(lambda: replace(stop(), kind="vee")) == ["/contacts"], "a vee has two flanks"
    assert replace(riser(), contacts=()).carries is not None
    assert pointers(lambda: replace(stop(), kind="magnet")) == ["/kind"]  # type: ignore[arg-type]


def test_pegs_meet_the_lattice_at_every_turn() -> None:
    assert pointers(lambda: replace(stop(), pegs=())) == ["/pegs"]
    assert pointers(lambda: replace(stop(), pegs=((0, 0), (0, 0)))) == ["/pegs/1"]
    assert pointers(lambda: replace(stop(), pegs=((0, 0), (1, 0)), turns=(0.0, 45.0))) == ["/turns/1"]
    assert replace(stop(), pegs=((0, 0),), turns=(0.0, 45.0)).turns == (0.0, 45.0)
    assert pointers(lambda: replace(pin(), pegs=((0, 0), (1, 0)))) == ["/turns"]
    assert pointers(lambda: replace(stop(), turns=(0.0, 360.0))) == ["/turns/1"]
    assert pointers(lambda: replace(stop(), turns=(90.0, 90.0))) == ["/turns/1"]


def test_solids_stand_on_the_mounting_plane() -> None:
    sunk = box(-10, -10, 10, 10, -5, 50)
    assert pointers(lambda: replace(stop(), solids=(sunk,))) == ["/solids/0"]
    tilted = Prism(SQUARE, 0, 50, (), ((0, 0, 1, 0), (1, 0, 0, 0), (0, 1, 0, -1), (0, 0, 0, 1)))
    assert pointers(lambda: replace(stop(), solids=(replace(sunk, prism=tilted),))) == ["/solids/0"]
    assert pointers(lambda: replace(stop(), solids=())) == ["/solids"]


def test_every_figure_of_an_item_is_limited() -> None:
    wrong: dict[str, Any] = {
        "mass_kg": -1,
        "place_s": float("nan"),
        "price_cents": 1.5,
        "lead_days": True,
        "stiffness_n_per_mm": 0,
    }
    assert sorted(pointers(lambda: replace(stop(), **wrong))) == sorted(f"/{name}" for name in wrong)


# --- tables and stock -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("hole", "label"), [((2, 6), "C7"), ((0, 0), "A1"), ((25, 0), "Z1"), ((26, 11), "AA12"), ((701, 0), "ZZ1")]
)
def test_hole_labels(hole: tuple[int, int], label: str) -> None:
    assert hole_label(hole) == label
    assert parse_hole(label) == hole


@pytest.mark.parametrize("label", ["", "C", "7", "7C", "C0", "C07", "c7", "C-7", "C7 ", "C٣", "CÄ7"])
def test_what_is_no_hole_label(label: str) -> None:
    with pytest.raises(ValueError, match="is not a hole label"):
        parse_hole(label)


def test_a_tables_lattice_lies_on_its_slab() -> None:
    good = table()
    assert pointers(lambda: replace(good, columns=25)) == ["/columns"]
    assert pointers(lambda: replace(good, first=(5.0, 40.0))) == ["/first/0"]
    assert pointers(lambda: replace(good, hole_diameter=40)) == ["/hole_diameter"]
    assert pointers(lambda: replace(good, blocked_holes=frozenset({(24, 0)}))) == ["/blocked_holes"]
    assert pointers(lambda: replace(good, pitch=-40, rows=0, max_load_kg=-1)) == ["/pitch", "/rows", "/max_load_kg"]
    assert Table("T", (100, 100), (50, 50), 40, 1, 1, 14, 10).last_hole == "A1"


def test_stock_counts_whole_pieces_that_are_there() -> None:
    assert StockLine("stop", 8, 1, 2).free == 5
    assert StockLine("stop", 8, 8, 3).free == 0
    assert pointers(lambda: StockLine("stop", 2, 3)) == ["/out_of_service"]
    assert pointers(lambda: StockLine("", -1, 0, 1.5)) == ["/item", "/count", "/reserved"]  # type: ignore[arg-type]


def test_a_snapshot_is_keyed_by_its_own_ids() -> None:
    shelf = plain_shelf()
    assert pointers(lambda: replace(shelf, lines={**shelf.lines, "ghost": StockLine("ghost", 1)})) == ["/stock/ghost"]
    assert pointers(lambda: StockSnapshot({"T2": shelf.tables["T1"]}, {}, {})) == ["/tables/T2"]


def test_every_kind_of_hardware_has_its_record() -> None:
    assert get_args(Kind) == tuple(KINDS)
