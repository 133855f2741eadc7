"""Braces at any angle and round parts: pieces that turn, pieces at 45 degrees, V-blocks."""

from __future__ import annotations

import math

import pytest

from inventory.stock import StockSnapshot
from solver.sections import Section
from solver.weldment import Part, Pose
from tests import builders as b
from tests.solver.kinds.shop import full_shelf, impossible, missed, pieces, planned, swivel, vee

EIGHTHS = tuple(45.0 * k for k in range(8))


def brace(degrees: float, shape: Section | None = None, up: float = 25) -> Part:
    """A 400 mm square tube (or another section) lying at an angle to x."""
    along = (math.cos(math.radians(degrees)), math.sin(math.radians(degrees)), 0.0)
    return Part("brace", shape or Section("square_tube", width=50, wall=3), 400, Pose((0, 0, up), along, b.Z))


def test_fixed_pieces_meet_a_brace_along_the_lattices_diagonals() -> None:
    found = planned(b.weldment(brace(45)), full_shelf(without=("adjustable", "pin")))
    assert pieces(found).count("swivel") == 3


def test_pieces_turned_by_45_degrees_hold_a_brace() -> None:
    fixed = b.stop("stop-45", turns=EIGHTHS)
    found = planned(b.weldment(brace(45)), full_shelf((fixed, 6), without=("swivel", "pin", "adjustable")))
    assert pieces(found).count("stop-45") == 3
    assert {p.turn % 90 for p in found.alternatives[0].placements if p.item == "stop-45"} == {45.0}


@pytest.mark.parametrize("degrees", [73.5, *(pytest.param(degrees, marks=pytest.mark.slow) for degrees in (17.0, 30.0))])
def test_adjustable_pieces_that_turn_hold_a_brace_at_any_angle(degrees: float) -> None:
    slide = b.adjustable_stop("turning", step=0, turns="any")
    assert pieces(planned(b.weldment(brace(degrees)), b.shelf((slide, 6), (b.down_clamp(), 1)))).count("turning") == 3


def test_fixed_pieces_alone_do_not_hold_a_brace_at_30_degrees() -> None:
    assert impossible(b.weldment(brace(30)), b.shelf((swivel(), 8), (b.pin(), 8), (b.down_clamp(), 4)))


def two_fixed_and(adjusting: int, fixed: int = 2) -> StockSnapshot:
    """A clamp, blocks that turn, and some that turn and slide."""
    slide = b.adjustable_stop("turning", step=0, travel=40, turns="any")
    return b.shelf((swivel(), fixed), (slide, adjusting), (b.down_clamp(), 1))


@pytest.mark.parametrize(("degrees", "fixed", "adjusting"), [(17.0, 2, 1), pytest.param(30.0, 3, 3, marks=pytest.mark.slow)])
def test_two_fixed_pieces_and_one_that_adjusts_hold_a_brace_at_any_angle(degrees: float, fixed: int, adjusting: int) -> None:
    """They suffice, and more that adjust are not taken: what needs no setting is cheaper."""
    found = planned(b.weldment(brace(degrees)), two_fixed_and(adjusting, fixed))
    assert pieces(found) == ["clamp", "swivel", "swivel", "turning"]


@pytest.mark.slow
def test_without_the_piece_that_adjusts_it_is_named() -> None:
    assert "turning: 1 needed, 0 free" in missed(b.weldment(brace(17.0)), two_fixed_and(1), "turning")


@pytest.mark.parametrize("degrees", [45.0, *(pytest.param(degrees, marks=pytest.mark.slow) for degrees in (0.0, 90.0))])
def test_round_tube_lies_in_v_blocks_across_the_lattice(degrees: float) -> None:
    tube = Section("round_tube", diameter=60, wall=3)
    shelf = full_shelf((vee(turns="any"), 4), without=("tall-stop",))
    found = planned(b.weldment(brace(degrees, tube, up=30)), shelf)
    assert pieces(found).count("vee") >= 2
    assert set(found.alternatives[0].parts[0].rests_on) <= {p.id for p in found.alternatives[0].placements}
    on_both_flanks = [piece.locates for piece in found.alternatives[0].placements if piece.item == "vee"]
    assert {role for locates in on_both_flanks for _, role in locates} == {"support", "side"}
