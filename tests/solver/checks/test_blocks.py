"""Distances and sweeps of solids: by hand, and against an exact mesh library (manifold3d)."""

from __future__ import annotations

import math

import numpy as np
import pytest

from inventory.shapes import IDENTITY, Matrix, Prism
from solver.checks.arithmetic import blocks, sweeps
from solver.checks.arithmetic.blocks import Block
from tests.solver.checks.bodies import exact, exact_gap, random_prism

CUBE = ((0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (0.0, 10.0))


def cube(x: float, y: float, z: float) -> Block:
    """A cube of 10 mm with its lowest corner at a point."""
    frame: Matrix = ((1, 0, 0, x), (0, 1, 0, y), (0, 0, 1, z), (0, 0, 0, 1))
    return Block.of(Prism(CUBE, 0, 10, frame=frame))


@pytest.mark.parametrize(
    ("at", "gap"),
    [
        ((15, 0, 0), 5.0),
        ((13, 14, 0), 5.0),
        ((12, 13, 16), 7.0),
        ((10, 0, 0), 0.0),
        ((9, 9, 9), 0.0),
        ((2, 2, 2), 0.0),
    ],
    ids=["face to face", "edge to edge", "corner to corner", "touching", "overlapping", "far in"],
)
def test_cubes_by_hand(at: tuple[float, float, float], gap: float) -> None:
    # Distances 5, sqrt(3^2 + 4^2) and sqrt(2^2 + 3^2 + 6^2) are hand calculations.
    assert blocks.distance(cube(0, 0, 0), cube(*at)) == pytest.approx(gap, abs=1e-6)


def test_a_pin_in_a_bore_keeps_its_clearance_and_is_no_overlap() -> None:
    bored = Block.of(Prism(((-30, -30), (30, -30), (30, 30), (-30, 30)), 0, 20, (((-12, -12), (12, -12), (12, 12), (-12, 12)),)))
    pin = Block.of(Prism(((-10, -10), (10, -10), (10, 10), (-10, 10)), -5, 40))
    assert blocks.distance(pin, bored) == pytest.approx(2.0)
    assert not blocks.overlap(pin, bored)


def test_crossed_bars_overlap_though_no_corner_is_inside() -> None:
    one = Block.of(Prism(((-50, -5), (50, -5), (50, 5), (-50, 5)), 0, 10))
    other = Block.of(Prism(((-5, -50), (5, -50), (5, 50), (-5, 50)), 0, 10))
    assert blocks.overlap(one, other)
    assert blocks.deeper(one, other, 4.9)
    assert not blocks.deeper(one, other, 5.1)


def test_what_only_touches_is_not_deeper_than_the_skin() -> None:
    assert not blocks.deeper(cube(0, 0, 0), cube(10, 0, 0), 0.05)
    assert not blocks.deeper(cube(0, 0, 0), cube(9.96, 0, 0), 0.05)
    assert blocks.deeper(cube(0, 0, 0), cube(9.94, 0, 0), 0.05)


def test_a_circle_is_known_by_its_ring_and_a_tube_with_round_corners_is_none() -> None:
    ring = tuple((25 * math.cos(a), 25 * math.sin(a)) for a in np.linspace(0, 2 * math.pi, 48, endpoint=False))
    assert Block.of(Prism(ring, 0, 10)).round_allowance == pytest.approx(0.15)
    assert cube(0, 0, 0).round_allowance == 0


def test_random_pairs_agree_with_exact_meshes() -> None:
    chance = np.random.default_rng(4)
    for _ in range(300):
        a, b = random_prism(chance), random_prism(chance)
        ours = min(blocks.distance(Block.of(a), Block.of(b), 30.0), 30.0)
        assert ours == pytest.approx(exact_gap(exact(a), exact(b), 30.0), abs=1e-4)


def test_random_sweeps_are_never_wider_than_any_still_of_them() -> None:
    chance = np.random.default_rng(5)
    for k in range(40):
        a, b = random_prism(chance), random_prism(chance)
        move = np.array([0.0, 0.0, 40.0]) if k % 2 else 40 * (v := chance.normal(size=3)) / np.linalg.norm(v)
        ours = min(sweeps.sweep_distance(Block.of(a), move, Block.of(b), 10.0), 10.0)
        stills = min(exact_gap(exact(a, share * move), exact(b), 10.0) for share in np.linspace(0, 1, 41))
        # 41 stills a millimetre apart see the least gap to within half a step.
        assert stills - 0.5 <= ours <= stills + 1e-4


def test_a_sweep_sees_what_stands_between_both_ends() -> None:
    assert sweeps.sweep_distance(cube(0, 0, 0), np.array([100.0, 0, 0]), cube(50, 8, 0), 5.0) == 0
    assert sweeps.sweep_distance(cube(0, 0, 0), np.array([100.0, 0, 0]), cube(50, 13, 0), 5.0) == pytest.approx(3.0)
    assert sweeps.sweep_distance(cube(0, 0, 0), np.array([100.0, 0, 0]), cube(50, 30, 0), 5.0) == blocks.FAR


def test_a_sweep_sees_two_edges_that_cross_on_the_way() -> None:
    # A level bar along y passes over an upright plate along x: only edges meet, corner touches nothing.
    bar = Block.of(
        Prism(
            ((-100, -2), (100, -2), (100, 2), (-100, 2)), 0, 4, frame=((0, -1, 0, 0), (1, 0, 0, 0), (0, 0, 1, 30), (0, 0, 0, 1))
        )
    )
    wall = Block.of(Prism(((-100, -1), (100, -1), (100, 1), (-100, 1)), 0, 10, frame=IDENTITY))
    assert sweeps.sweep_distance(bar, np.array([0.0, 0, -19.0]), wall, 2.0) == pytest.approx(1.0)
    assert sweeps.sweep_meets(bar, np.array([0.0, 0, -60.0]), wall)


def test_sliding_along_a_face_is_no_strike_and_into_it_is() -> None:
    stop = cube(10, 0, 0).shrunk(0.05)
    assert stop is not None
    assert not sweeps.sweep_meets(cube(0, 0, 0), np.array([0, 0, 50.0]), stop)
    assert sweeps.sweep_meets(cube(0, 0, 0), np.array([0.6, 0, 50.0]), stop)


def test_segments_measure_to_the_nearest_edge_face_or_inside() -> None:
    starts = np.array([[5.0, 5, 20], [-5, 5, 13], [5, 5, 5], [-5, -5, -5]])
    ends = np.array([[5.0, 5, 40], [15, 5, 13], [6, 6, 6], [15, 15, 15]])
    assert blocks.segments_to_block(starts, ends, cube(0, 0, 0)).tolist() == pytest.approx([10, 3, 0, 0], abs=1e-6)
