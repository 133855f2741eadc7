"""Deterministic locating against hand calculations (check values 1a to 1c) and published statements."""

from __future__ import annotations

import numpy as np
import pytest

from inventory.shapes import Array, Point3
from solver.accuracy import EXACT, PartContacts, locating_state, locator_matrix, motions, point_deviation

ORIGIN = np.zeros(3)
SUPPORTS: list[Point3] = [(0, 0, 0), (400, 0, 0), (200, 300, 0)]
SIDES: list[Point3] = [(50, 0, 20), (350, 0, 20)]
END: list[Point3] = [(0, 150, 20)]
NORMALS = np.array([(0, 0, 1)] * 3 + [(0, 1, 0)] * 2 + [(1, 0, 0)], dtype=float)
POINT = (400.0, 300.0, 40.0)


def six(supports: list[Point3] = SUPPORTS, normals: Array = NORMALS) -> PartContacts:
    at = np.array(supports + SIDES + END, dtype=float)
    return PartContacts(at, normals, np.arange(6), np.full(6, -1))


def test_planar_two_one_locating() -> None:
    # Hand calculation: det 200; a locator 0.1 mm off on a base of 200 mm turns the part by 0.0005 rad.
    at = np.array([(50, 0, 0), (250, 0, 0), (0, 60, 0)], dtype=float)
    normal = np.array([(0, 1, 0), (0, 1, 0), (1, 0, 0)], dtype=float)
    plane = locator_matrix(at, normal, ORIGIN)[:, [0, 1, 5]]
    assert plane == pytest.approx(np.array([[0, 1, 50], [0, 1, 250], [1, 0, -60]]))
    assert np.linalg.det(plane) == pytest.approx(200)
    assert np.linalg.inv(plane) == pytest.approx(np.array([[-0.3, 0.3, 1], [1.25, -0.25, 0], [-0.005, 0.005, 0]]))
    (motion,) = motions([PartContacts(at, normal, np.arange(3), np.full(3, -1))], 3)
    moved = motion.at(np.array([300.0, 120, 0])) @ np.array([0.1, 0, 0])
    assert moved == pytest.approx([0.03, -0.025, 0], abs=1e-12)
    assert motion.per_source[5] @ np.array([0.1, 0, 0]) == pytest.approx(-0.0005)


@pytest.mark.parametrize(("base", "degrees"), [(100, 0.05730), (200, 0.02865), (400, 0.01432)])
def test_rotation_is_error_over_base(base: float, degrees: float) -> None:
    # Hand calculation, 0.1 mm at one of two points.
    at = np.array([(0, 0, 0), (base, 0, 0), (0, 60, 0)], dtype=float)
    normal = np.array([(0, 1, 0), (0, 1, 0), (1, 0, 0)], dtype=float)
    (motion,) = motions([PartContacts(at, normal, np.arange(3), np.full(3, -1))], 3)
    assert abs(np.degrees(motion.per_source[5, 0] * 0.1)) == pytest.approx(degrees, abs=5e-6)


def test_parallel_or_concurrent_normals_leave_the_part_free() -> None:
    # Hand calculation.
    half = np.sqrt(0.5)
    parallel = locator_matrix(
        np.array([(50, 0, 0), (250, 0, 0), (150, 120, 0)]), np.array([(0, 1, 0), (0, 1, 0), (0, -1, 0)]), ORIGIN
    )
    concurrent = locator_matrix(
        np.array([(100, 0, 0), (0, 60, 0), (40, 0, 0)]), np.array([(0, 1, 0), (1, 0, 0), (half, half, 0)]), ORIGIN
    )
    assert np.linalg.matrix_rank(parallel[:, [0, 1, 5]]) == 2
    plane = concurrent[:, [0, 1, 5]]
    assert abs(np.linalg.det(plane)) < 1e-12
    turn_about_meeting_point = np.array([60.0, -100, 1])  # (y, -x, 1): velocity of the origin turning about (100, 60)
    assert plane @ turn_about_meeting_point == pytest.approx(np.zeros(3), abs=1e-12)


def test_spatial_three_two_one() -> None:
    # Hand calculation: det G = 3.6e7 = 2 x triangle area x base of the side points.
    rows = locator_matrix(six().at, NORMALS, ORIGIN)
    assert np.linalg.matrix_rank(rows) == 6
    assert abs(np.linalg.det(rows)) == pytest.approx(3.6e7)
    influence = np.linalg.inv(rows)
    assert influence[:, 2] * 0.1 == pytest.approx([0, 0.0066667, 0, 0.00033333, 0, 0], abs=5e-8)
    assert influence[:, 4] * 0.1 == pytest.approx([0.05, -0.0166667, 0, 0, 0, 0.00033333], abs=5e-8)
    assert influence[:, 0] * 0.1 == pytest.approx([-0.005, -0.0033333, 0.1, -0.00016667, 0.00025, 0], abs=5e-8)
    assert influence[:, 5] * 0.1 == pytest.approx([0.1, 0, 0, 0, 0, 0], abs=5e-8)


def test_error_at_the_far_corner_of_a_three_two_one() -> None:
    # Hand calculation, every locator 0.05 mm off.
    (motion,) = motions([six()], 6)
    moved = motion.at(np.array(POINT))
    assert moved[0] == pytest.approx([0.05, -0.05, 0, 0.5, -0.5, 1], abs=1e-9)
    assert moved[1] == pytest.approx([0.0333333, 0.0333333, -0.0666667, -0.1666667, 1.1666667, 0], abs=5e-8)
    assert moved[2] == pytest.approx([-0.5, 0.5, 1, 0, 0, 0], abs=1e-9)
    errors = [point_deviation(motion, POINT, axis, np.full(6, 0.05)) for axis in ((1, 0, 0), (0, 1, 0), (0, 0, 1))]
    assert [error.worst_mm for error in errors] == pytest.approx([0.105, 0.0733333, 0.100], abs=5e-8)
    assert [error.rss_mm for error in errors] == pytest.approx([0.061339, 0.059067, 0.061237], abs=5e-7)


def test_three_supports_in_line_or_three_parallel_sides_lose_a_rank() -> None:
    # Hand calculation.
    mass = (np.array([200.0, 100, 20]), 150.0)
    assert locating_state(six().at, NORMALS, *mass).full
    collinear = six([(0, 0, 0), (400, 0, 0), (200, 0, 0)])
    turned = NORMALS.copy()
    turned[5] = (0, -1, 0)
    for at, normal in ((collinear.at, NORMALS), (six().at, turned)):
        found = locating_state(at, normal, *mass)
        assert (found.rank, found.full, found.condition) == (5, False, float("inf"))


def test_exact_rows_do_not_move_the_part() -> None:
    contacts = six()
    on_table = PartContacts(contacts.at, NORMALS, np.array([EXACT] * 3 + [0, 1, 2]), np.full(6, -1))
    (motion,) = motions([on_table], 3)
    assert point_deviation(motion, POINT, (0, 0, 1), np.full(3, 0.05)).worst_mm == pytest.approx(0, abs=1e-12)
