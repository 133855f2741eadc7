"""Shrinkage aids against the published rule of thumb and hand calculations (check values 7c, 7d). The formula, never the weld."""

from __future__ import annotations

import pytest

from solver.accuracy.shrinkage import (
    butt_across,
    butt_along,
    fillet_across,
    fillet_along,
    proposals,
    v_bead_area_mm2,
)
from solver.sections import Section
from solver.weldment import Material, Part, Pose, Weld, WeldKind, Weldment


def test_four_fillet_joints_in_a_row_ask_for_3_2_mm() -> None:
    assert fillet_across(4, 6, joints=4).value_mm == pytest.approx(3.2)  # TWI rule of thumb


@pytest.mark.parametrize(("leg", "valid"), [(4, True), (4.5, True), (5, False)])
def test_the_rule_applies_up_to_three_quarters_of_the_plate(leg: float, valid: bool) -> None:
    assert fillet_across(leg, 6).valid is valid  # TWI rule of thumb


def test_along_a_weld_of_1_5_m() -> None:
    assert fillet_along(1500).value_mm == pytest.approx(0.4)  # TWI rule of thumb
    assert butt_along(1500).value_mm == pytest.approx(1.5)


def test_butt_by_spraragen_and_ettinger() -> None:
    # Hand calculation with the homogeneous form (source not checked); the inch-mixed 5.08/1.27 form would give 25.4 times this.
    area = v_bead_area_mm2(6, 2)
    assert area == pytest.approx(32.785, abs=5e-4)
    assert butt_across(area, 6, 2).value_mm == pytest.approx(1.193, abs=5e-4)
    inches = butt_across(area / 25.4**2, 6 / 25.4, 2 / 25.4).value_mm
    assert inches * 25.4 == pytest.approx(butt_across(area, 6, 2).value_mm)  # homogeneous: any one unit


def bracket(kind: WeldKind, leg: float | None, material: Material = "steel") -> Weldment:
    pose = Pose((0, 0, 0), (0, 0, 1), (0, 1, 0))
    plate = Section("plate", plate_outline=((0, 0), (50, 0), (50, 50), (0, 50)))
    parts = (Part("a", plate, 6, pose, material), Part("b", Section("square_tube", width=50, wall=3), 300, pose, material))
    return Weldment(parts, (Weld("w1", ("a", "b"), ((0, 0, 0), (300, 0, 0)), kind, leg=leg, throat=None if leg else 3),))


def test_an_allowance_is_offered_only_where_the_rule_applies() -> None:
    within = proposals(bracket("fillet", 2))["w1"]
    assert within.stop_offset_mm == 0.8 and "not applied" in within.note
    beyond = proposals(bracket("fillet", 4))["w1"]
    assert beyond.across is not None and not beyond.across.valid and beyond.stop_offset_mm is None
    assert "beyond 3/4 of 3 mm" in beyond.across.note
    assert proposals(bracket("flare", None))["w1"].across is None
    assert proposals(bracket("fillet", 2, "aluminium"))["w1"].note.startswith("no estimate")


def test_estimates_name_their_source_and_spread() -> None:
    for estimate in (fillet_across(2, 3), fillet_along(300), butt_along(300), butt_across(30, 6, 2)):
        assert estimate.source and estimate.low_mm <= estimate.value_mm <= estimate.high_mm
        assert estimate.high_mm > estimate.low_mm
