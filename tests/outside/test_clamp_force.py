"""Screws and toggles against published tables and worked examples (check values 3)."""

from __future__ import annotations

import math

import pytest

from solver.clamp_force import NUT_FACTOR, pad_pressure_share, screw_force_n, screw_torque_nm, stress_area_mm2, toggle_ratio

THREADS = [
    # d, P, As mm2, proof load 8.8 N: ISO 898-1 nominal values as read at staging2.optimas.com and slsbearings.com
    (8, 1.25, 36.6, 21_200),
    (10, 1.5, 58.0, 33_700),
    (12, 1.75, 84.3, 48_900),
    (16, 2.0, 157, 91_000),
    (20, 2.5, 245, 147_000),
]
TORQUES = {  # hand calculation, T = K F d with F = 0.75 of the proof load, N m
    8: {0.30: 38.2, 0.20: 25.4, 0.18: 22.9, 0.12: 15.3},
    10: {0.30: 75.8, 0.20: 50.55, 0.18: 45.5, 0.12: 30.3},
    12: {0.30: 132.0, 0.20: 88.0, 0.18: 79.2, 0.12: 52.8},
    16: {0.30: 327.6, 0.20: 218.4, 0.18: 196.6, 0.12: 131.0},
}


@pytest.mark.parametrize(("d", "pitch", "area", "proof"), THREADS)
def test_stress_area_and_proof_load(d: float, pitch: float, area: float, proof: float) -> None:
    assert stress_area_mm2(d, pitch) == pytest.approx(area, rel=3e-3)
    assert area * (580 if d <= 16 else 600) == pytest.approx(proof, rel=3e-3)


@pytest.mark.parametrize(("d", "pitch", "area", "proof"), THREADS[:4])
def test_torque_for_three_quarters_of_the_proof_load(d: int, pitch: float, area: float, proof: float) -> None:
    for factor, torque in TORQUES[d].items():
        assert screw_torque_nm(0.75 * proof, d, factor) == pytest.approx(torque, abs=0.06)
        assert screw_force_n(torque, d, factor) == pytest.approx(0.75 * proof, rel=3e-3)


def test_hand_torque() -> None:
    # Hand calculation: 5 N m on M10 and 10 N m on M12, K = 0.20.
    assert screw_force_n(5, 10, NUT_FACTOR["zinc"]) == pytest.approx(2500)
    assert screw_force_n(10, 12, NUT_FACTOR["zinc"]) == pytest.approx(4166.7, abs=0.05)


def test_toggle_worked_example() -> None:
    # engineeringtoolbox.com/toggle-joint-d_2077.html: 883 N, a = 1983 mm, h = 258 mm give 3393 N, ratio 3.8.
    angle = math.degrees(math.atan2(258, 1983))
    assert 883 * toggle_ratio(angle) == pytest.approx(3393.4, abs=0.05)
    assert toggle_ratio(angle) == pytest.approx(3.843, abs=5e-4)


@pytest.mark.parametrize(("angle", "ratio"), [(10, 2.836), (5, 5.715), (2, 14.318), (1, 28.645), (0.5, 57.294)])
def test_toggle_ratio_by_angle(angle: float, ratio: float) -> None:
    assert toggle_ratio(angle) == pytest.approx(ratio, abs=5e-3)  # mekanizmalar.com/stone_crusher.html: Q/P = 0.5 / tan a


@pytest.mark.parametrize(("d", "pitch", "area"), [(8, 1.25, 36.61), (10, 1.5, 57.99), (12, 1.75, 84.27), (16, 2.0, 156.67)])
def test_stress_area_by_its_formula(d: float, pitch: float, area: float) -> None:
    assert stress_area_mm2(d, pitch) == pytest.approx(area, abs=0.005)  # hand calculation, (pi/4)(d - 0.9382 P)^2


def test_a_toggle_grows_without_limit_as_it_straightens() -> None:
    ratios = [toggle_ratio(angle) for angle in (45, 30, 10, 1, 0.1, 0.001)]
    assert ratios == sorted(ratios) and toggle_ratio(0) == math.inf


def test_pad_pressure() -> None:
    # Hand calculation: 1800 N on 10 x 10 mm of steel with yield 235 MPa.
    assert pad_pressure_share(1800, 100, 235) == pytest.approx(0.0766, abs=5e-5)
