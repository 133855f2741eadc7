"""Beams against hand calculations by the published formulas (check values 4)."""

from __future__ import annotations

import math

import pytest

from solver.sections import Section
from solver.standards.stiffness import (
    Segment,
    bending_n_per_mm,
    series_n_per_mm,
    tip_mm,
)

CASES = [
    # name, I mm4, L mm, F N, tip mm: hand calculation F L^3 / 3 E I, E = 210 000 MPa
    ("SHS 40x40x3, cold formed", 93_200, 300, 200, 0.09197),
    ("SHS 50x50x3", 195_000, 400, 500, 0.26048),
    ("SHS 60x60x4", 436_000, 500, 1000, 0.45507),
    ("solid round 28", 30_172, 150, 500, 0.08878),
    ("solid round 16", 3_217, 100, 500, 0.24671),
]


@pytest.mark.parametrize(("name", "i", "length", "force", "tip"), CASES)
def test_cantilever(name: str, i: float, length: float, force: float, tip: float) -> None:
    assert tip_mm([Segment(length, i)], force) == pytest.approx(tip, abs=5e-6), name


@pytest.mark.parametrize(
    ("section", "i_mm4", "rel"),
    [
        (Section("square_tube", width=40, wall=3), 93_200, 1e-3),  # EN 10219-2 table value 9.32 cm4
        (Section("square_tube", width=60, wall=4), 436_000, 2e-3),  # 43.6 cm4
        (Section("round_bar", diameter=28), math.pi * 28**4 / 64, 1e-4),  # pi d^4 / 64
        (Section("flat_bar", width=10, thickness=20), 10 * 20**3 / 12, 1e-9),  # b h^3 / 12
    ],
)
def test_sections_feed_the_beam_formula(section: Section, i_mm4: float, rel: float) -> None:
    assert section.properties.i_uu == pytest.approx(i_mm4, rel=rel)


def test_two_segment_riser() -> None:
    # Hand calculation: 200 mm of I = 436 000 below 200 mm of I = 93 200, 300 N across the tip.
    stack = [Segment(200, 436_000), Segment(200, 93_200)]
    assert tip_mm(stack, 300) == pytest.approx(0.102037, abs=5e-7)
    equal = [Segment(200, 93_200), Segment(200, 93_200)]
    assert tip_mm(equal, 300) == pytest.approx(0.326998, abs=5e-7)
    assert tip_mm(equal, 300) == pytest.approx(tip_mm([Segment(400, 93_200)], 300))


def test_an_arm_twice_as_long_is_eight_times_as_soft() -> None:
    # visualized.engineering, cantilever beam: deflection grows with the cube of the length.
    assert bending_n_per_mm([Segment(150, 93_200)]) == pytest.approx(8 * bending_n_per_mm([Segment(300, 93_200)]))


def test_a_rectangle_twice_as_high_is_eight_times_as_stiff() -> None:
    low, high = (Section("flat_bar", width=10, thickness=h).properties.i_uu for h in (10, 20))
    assert high == pytest.approx(8 * low)


def test_stack_in_series_is_softer_than_its_softest_piece() -> None:
    assert series_n_per_mm([20_000, 20_000]) == pytest.approx(10_000)
    assert series_n_per_mm([20_000, 500]) < 500
    assert series_n_per_mm([]) == math.inf


def test_springs_and_beams_without_stiffness_are_refused() -> None:
    with pytest.raises(ValueError, match="every stiffness of a stack must be > 0"):
        series_n_per_mm([20_000, 0])
    with pytest.raises(ValueError, match="must be > 0"):
        Segment(0, 93_200)
