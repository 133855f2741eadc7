"""The checker's bodies with cut ends against exact meshes: volume, moments, distances, overlaps, moves, faces."""

from __future__ import annotations

from random import Random

import manifold3d as m3
import numpy as np
import pytest

from solver.checks.arithmetic import blocks, sweeps
from solver.checks.arithmetic.blocks import Block
from solver.checks.arithmetic.shells import moments
from solver.checks.arithmetic.weights import inertia
from solver.checks.scene.faces import Face, faces_of
from solver.geometry.cut_faces import part_faces
from solver.geometry.points import inside
from solver.laying.mass import centre_of_gravity, gyration_mm, mass_kg
from solver.rule_book.book import RuleBook
from tests.outside import meshes
from tests.outside.cut_prisms import a_cut_part, a_cut_prism, second_moments
from tests.outside.test_meshes import a_prism


def test_a_shell_encloses_what_the_cuts_leave() -> None:
    for seed in range(80):
        prism = a_cut_prism(Random(seed))
        bare = type(prism)(prism.outline, prism.start, prism.end, prism.cutouts, cuts=prism.cuts)
        volume, first, second = second_moments(meshes.solid(bare))
        found = moments(Block.of(bare).shell)
        assert found[0] == pytest.approx(volume, rel=1e-6, abs=1e-3), seed
        assert found[1] / volume == pytest.approx(first / volume, rel=1e-5, abs=1e-3), seed
        assert found[2] / volume == pytest.approx(second / volume, rel=1e-5, abs=0.1), seed


def test_points_are_as_far_off_as_off_the_mesh() -> None:
    for seed in range(25):
        draw = Random(seed)
        prism = a_cut_prism(draw)
        box = np.array(meshes.solid(prism).bounding_box()).reshape(2, 3)
        points = np.array([[draw.uniform(box[0, k] - 10, box[1, k] + 10) for k in range(3)] for _ in range(20)])
        truth = [meshes.gap(m3.Manifold.sphere(1e-3, 8).translate(point.tolist()), meshes.solid(prism)) for point in points]
        assert blocks.point_distance(points, Block.of(prism)) == pytest.approx(truth, abs=3e-3), seed


def test_cut_bodies_are_as_far_apart_as_their_meshes() -> None:
    near = 0
    for seed in range(60):
        draw = Random(seed)
        one, other = a_cut_prism(draw, 40), draw.choice((a_prism, a_cut_prism))(draw, 40)
        truth = meshes.gap(meshes.solid(one), meshes.solid(other))
        assert blocks.distance(Block.of(one), Block.of(other)) == pytest.approx(truth, abs=2e-3), seed
        near += truth == 0
    assert near > 5


def test_cut_bodies_on_the_move() -> None:
    """A sweep's least gap is that of the nearest of many places on the way, or less."""
    for seed in range(12):
        draw = Random(seed)
        one, other = a_cut_prism(draw), a_cut_prism(draw)
        move = np.array([draw.uniform(-150, 150) for _ in range(3)])
        found = sweeps.sweep_distance(Block.of(one), move, Block.of(other), 1e6)
        body, still = meshes.solid(one), meshes.solid(other)
        places = [meshes.gap(body.translate((share * move).tolist()), still) for share in np.linspace(0, 1, 80)]
        step = float(np.linalg.norm(move)) / 79
        assert min(places) - step <= found + 2e-3 and found <= min(places) + 2e-3, seed


def test_a_body_without_its_outermost_millimetre() -> None:
    for seed in range(25):
        prism = a_cut_prism(Random(seed))
        core = Block.of(prism).shrunk(0.5)
        if core is None:
            continue
        skin = blocks.point_distance(core.corners, Block.of(prism))
        assert skin == pytest.approx(0, abs=1e-6), seed


def test_weight_and_balance_are_the_planners() -> None:
    for seed in range(60):
        part = a_cut_part(Random(seed))
        pose = part.pose.frame()
        own = inertia(part, pose, RuleBook({}))
        share = 3e-2 if part.section.hollow else 1e-3
        assert own.mass == pytest.approx(mass_kg(part, RuleBook({})[f"material.{part.material}_kg_per_m3"]), rel=share), seed
        assert own.centre == pytest.approx(centre_of_gravity(part, pose), abs=0.15), seed
        assert own.rho == pytest.approx(gyration_mm(part), rel=share), seed


@pytest.mark.parametrize("bodies", [50, pytest.param(150, marks=pytest.mark.slow)])
def test_faces_are_the_planners(bodies: int) -> None:
    """Same labels, planes and areas; the planner leaves out slivers, the checker does not."""
    seen = set()
    for seed in range(bodies):
        part = a_cut_part(Random(seed))
        pose = part.pose.frame()
        own = {face.label: face for face in faces_of(part, tuple(map(tuple, pose.tolist()))) if isinstance(face, Face)}
        planned: dict[str, float] = {}
        for face in part_faces(0, part, pose):
            mine = own[face.label]
            assert mine.normal == pytest.approx(face.normal, abs=1e-9), (seed, face.label)
            assert mine.excess(face.corners(), -face.normal) < 1e-3, (seed, face.label)
            planned[face.label] = planned.get(face.label, 0.0) + face.shape.area
        for label, mine in own.items():
            reach = np.array([[-1e4, -1e4], [1e4, -1e4], [1e4, 1e4], [-1e4, 1e4]]) @ mine.basis + mine.origin
            covered = mine.material_under(reach)
            assert planned.get(label, 0.0) == pytest.approx(covered, rel=1e-3, abs=150.0 if label not in planned else 20.0), (
                seed,
                label,
            )
            seen.add(label.split(":")[0])
    assert seen == {"start", "end", "side", "cut", "cutout"}


def test_planner_checker_and_mesh_see_one_body() -> None:
    """Random points lie in all three bodies or in none."""
    for seed in range(40):
        draw = Random(seed)
        prism = a_cut_prism(draw)
        body = meshes.solid(prism)
        box = np.array(body.bounding_box()).reshape(2, 3)
        points = np.array([[draw.uniform(box[0, k], box[1, k]) for k in range(3)] for _ in range(40)])
        own = inside(prism, points)
        assert (own == (blocks.point_distance(points, Block.of(prism)) == 0)).all(), seed
        specks = [m3.Manifold.sphere(1e-3, 8).translate(point.tolist()) for point in points]
        assert own.tolist() == [(speck ^ body).volume() > 0 for speck in specks], seed
