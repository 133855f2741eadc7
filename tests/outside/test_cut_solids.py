"""Cut parts against exact meshes and hand formulas: what is left of them, how heavy it is, its faces, its distances."""

from __future__ import annotations

import math
from dataclasses import replace
from random import Random

import manifold3d as m3
import numpy as np
import pytest
from scipy.spatial import ConvexHull

from inventory.shapes import PlaneCut
from solver.geometry.cut_solids import moments
from solver.geometry.overlaps import common_point
from solver.geometry.points import distances_to, inside
from solver.geometry.solids import pieces_of
from solver.laying.mass import centre_of_gravity, gyration_mm, mass_kg
from solver.sections import Section
from solver.weldment import Part, Pose
from tests.outside import meshes
from tests.outside.corners import corner
from tests.outside.cut_prisms import a_cut_part, a_cut_prism, mitred_tube, second_moments

SHARP = Section("square_tube", width=50, wall=3, corner_radius=0.0)


def test_a_mitred_sharp_tube_by_hand() -> None:
    """Hand calculation: cut through its middle line at 45 degrees a tube keeps the length of its middle line, A L.

    Along the tube the centre is at L/2 + I / (2 A L), across it at I / (A L) towards the longer side, I the second moment about
    the axis the mitre turns about.
    """
    part = mitred_tube(section=SHARP)
    area, length = 50**2 - 44**2, 400 - 25
    second = (50**4 - 44**4) / 12
    assert mass_kg(part, 7850) == pytest.approx(7850e-9 * area * length, rel=1e-12)
    local = centre_of_gravity(part, np.eye(4))
    assert local == pytest.approx([second / (area * length), 0, length / 2 + second / (2 * area * length)], rel=1e-9)


def test_a_sloped_solid_cylinder_by_hand() -> None:
    """Hand calculation: a cylinder cut at 30 degrees through its axis at h weighs what one of length h does.

    Its centre lies r^2 tan / (4 h) to the longer side (a table of centroids has it: the ungula's complement).
    """
    slope = math.tan(math.radians(30))
    rod = Part(
        "rod",
        Section("round_bar", diameter=40),
        200,
        Pose((0, 0, 0), (0, 0, 1), (0, 1, 0)),
        cuts=(PlaneCut((0, 0, 150), (slope, 0, 1)),),
    )
    assert mass_kg(rod, 7850) == pytest.approx(7850e-9 * math.pi * 400 * 150, rel=1e-4)
    local = centre_of_gravity(rod, np.eye(4))
    assert local == pytest.approx([-400 * slope / 4 / 150, 0, 75 + 400 * slope**2 / 8 / 150], rel=1e-4, abs=1e-6)


def pieces_fill(seeds: range) -> None:
    """Check that pieces lie in the body, do not overlap and are as large as it together.

    Where they lie is asked of their middles and corners: booleans of bodies with many faces in common are not exact.
    """
    for seed in seeds:
        prism = a_cut_prism(Random(seed))
        whole, pieces = meshes.solid(prism), pieces_of(prism)
        assert sum(ConvexHull(piece).volume for piece in pieces) == pytest.approx(whole.volume(), rel=1e-6, abs=1e-3), seed
        hulls = m3.Manifold.batch_boolean([m3.Manifold.hull_points(piece) for piece in pieces], m3.OpType.Add)
        assert hulls.volume() == pytest.approx(whole.volume(), rel=1e-5), seed
        middles = np.array([piece.mean(axis=0) for piece in pieces])
        drawn_in = np.concatenate([piece + 1e-3 * (piece.mean(axis=0) - piece) for piece in pieces])
        assert inside(prism, middles).all() and inside(prism, drawn_in).all(), seed


def test_convex_pieces_fill_what_cuts_leave_and_nothing_else() -> None:
    pieces_fill(range(60))


def test_volume_centre_and_inertia_are_those_of_the_mesh() -> None:
    for seed in range(80):
        prism = a_cut_prism(Random(seed))
        rings = [np.array(ring) for ring in (prism.outline, *prism.cutouts)]
        found = moments(rings, prism.start, prism.end, prism.cuts)
        turned = meshes.solid(type(prism)(prism.outline, prism.start, prism.end, prism.cutouts, cuts=prism.cuts))
        volume, first, second = second_moments(turned)
        assert found.volume == pytest.approx(volume, rel=1e-5), seed
        assert found.first / volume == pytest.approx(first / volume, rel=1e-4, abs=1e-3), seed
        assert found.second / volume == pytest.approx(second / volume, rel=1e-4, abs=0.1), seed


def test_a_parts_gyration_is_that_of_its_mesh() -> None:
    for seed in range(30):
        part = a_cut_part(Random(seed))
        if part.section.round or part.section.hollow:
            continue
        volume, first, second = second_moments(meshes.solid(part.drawn))
        centre = first / volume
        own = centre_of_gravity(part, part.pose.frame())
        assert own == pytest.approx(centre, abs=2e-3), seed
        assert gyration_mm(part) ** 2 == pytest.approx(np.trace(second) / volume - centre @ centre, rel=1e-4), seed


def test_points_are_in_a_cut_prism_or_as_far_off_as_off_its_mesh() -> None:
    for seed in range(25):
        draw = Random(seed)
        prism = a_cut_prism(draw)
        box = np.array(meshes.solid(prism).bounding_box()).reshape(2, 3)
        points = np.array([[draw.uniform(box[0, k] - 10, box[1, k] + 10) for k in range(3)] for _ in range(20)])
        truth = [meshes.gap(m3.Manifold.sphere(1e-3, 8).translate(point.tolist()), meshes.solid(prism)) for point in points]
        assert distances_to(prism, points) == pytest.approx(truth, abs=3e-3), seed
        deep = distances_to(prism, points) < 1e-9
        assert (inside(prism, points) == deep).all(), seed


def test_two_mitred_tubes_meet_without_overlapping_and_an_uncut_one_overlaps() -> None:
    """Cut at 45 degrees either side of their corner the tubes share one plane; without its cut one stands in the other."""
    one, two = corner(90).parts
    assert common_point(one.drawn, two.drawn, 0.1) is None
    assert common_point(one.drawn, replace(two, cuts=two.cuts[1:]).drawn, 0.1) is not None
    assert (meshes.solid(one.drawn) ^ meshes.solid(two.drawn)).volume() == pytest.approx(0, abs=1e-6)
    assert meshes.gap(meshes.solid(one.drawn), meshes.solid(two.drawn)) == pytest.approx(0, abs=1e-6)


def test_overlaps_of_cut_profiles_are_those_of_their_meshes() -> None:
    deep = 0
    for seed in range(40):
        draw = Random(seed)
        one, two = a_cut_prism(draw, 40), a_cut_prism(draw, 40)
        shared = (meshes.solid(one) ^ meshes.solid(two)).volume()
        found = common_point(one, two, 0.1) is not None
        assert found or shared < 30, seed
        assert shared > 0 or not found, seed
        deep += found
    assert deep > 3


@pytest.mark.slow
def test_a_thousand_cut_profiles() -> None:
    pieces_fill(range(1000, 2000))
