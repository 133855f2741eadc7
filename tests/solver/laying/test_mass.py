"""Mass, centre of gravity and radius of gyration of parts, by hand and by another way of computing."""

from __future__ import annotations

import numpy as np
import pytest

from solver.laying.mass import centre_of_gravity, gyration_mm, mass_kg
from solver.sections import Section
from solver.weldment import Part, Pose

STEEL = 7850.0


def test_a_block_by_hand() -> None:
    # Hand calculation: 20 x 10 x 100 mm, 0.157 kg; I = m (a^2 + b^2) / 12 about each axis, so rho^2 = (a^2 + b^2 + c^2) / 12.
    block = Part("block", Section("flat_bar", width=20, thickness=10), 100, Pose((0, 0, 5), (1, 0, 0), (0, 0, 1)))
    assert mass_kg(block, STEEL) == pytest.approx(0.157)
    assert centre_of_gravity(block, block.pose.frame()) == pytest.approx([50, 0, 5])
    assert gyration_mm(block) == pytest.approx(np.sqrt((20**2 + 10**2 + 100**2) / 12))


def test_a_solid_cylinder_by_hand() -> None:
    # Hand calculation: m r^2 / 2 about the axis, m (3 r^2 + h^2) / 12 across it.
    rod = Part("rod", Section("round_bar", diameter=40), 200, Pose((0, 0, 0), (0, 0, 1), (0, 1, 0)))
    assert mass_kg(rod, STEEL) == pytest.approx(7850e-9 * np.pi * 20**2 * 200, rel=1e-4)
    assert gyration_mm(rod) == pytest.approx(np.sqrt((20**2 / 2 + 2 * (3 * 20**2 + 200**2) / 12) / 2), rel=1e-4)


def test_an_angle_at_a_slant_agrees_with_a_cloud_of_points() -> None:
    pose = Pose((10, -20, 30), (1, 2, 2), (0, 1, -1))
    part = Part("angle", Section("angle", leg_a=60, leg_b=40, thickness=5), 300, pose)
    legs = [((0, 60), (0, 5)), ((0, 5), (5, 40))]
    steps = [[np.linspace(a, b, 60, endpoint=False) + (b - a) / 120 for a, b in (*leg, (0, 300))] for leg in legs]
    local = np.concatenate([np.stack(np.meshgrid(*axes), axis=-1).reshape(-1, 3) for axes in steps])
    weights = np.concatenate([np.full(60**3, (u[1] - u[0]) * (v[1] - v[0]) * 300 / 60**3) for u, v in legs]) * 7850e-9
    frame = pose.frame()
    points = local @ frame[:3, :3].T + frame[:3, 3]
    centre = weights @ points / weights.sum()
    assert mass_kg(part, STEEL) == pytest.approx(weights.sum())
    assert centre_of_gravity(part, frame) == pytest.approx(centre)
    assert gyration_mm(part) == pytest.approx(np.sqrt(weights @ ((points - centre) ** 2).sum(axis=1) / weights.sum()), rel=1e-3)


def test_turning_a_part_moves_its_centre_and_nothing_else() -> None:
    section = Section("channel", height=100, flange=50, web=5, flange_thickness=8)
    upright = Part("a", section, 500, Pose((0, 0, 0), (0, 0, 1), (0, 1, 0)))
    slanted = Part("b", section, 500, Pose((5, 6, 7), (1, 1, 1), (1, -1, 0)))
    assert mass_kg(slanted, STEEL) == mass_kg(upright, STEEL)
    assert gyration_mm(slanted) == gyration_mm(upright)
    far = [np.linalg.norm(centre_of_gravity(part, part.pose.frame()) - part.pose.at) for part in (upright, slanted)]
    assert far[0] == pytest.approx(far[1])
