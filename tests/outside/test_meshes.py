"""The planner's geometry against exact meshes: manifold3d (booleans, gaps) and the Flexible Collision Library (python-fcl)."""

from __future__ import annotations

import math
from collections.abc import Sequence
from random import Random

import manifold3d as m3
import numpy as np
import pytest
from scipy.spatial import ConvexHull

from inventory.shapes import Array, Prism, as_matrix
from solver.geometry.faces import area, faces_of, facing
from solver.geometry.free_intervals import Stretches, too_near
from solver.geometry.hulls import Hulls
from solver.geometry.joints import Sample, torch_directions, wedges
from solver.geometry.proximity import box_pairs, distances, near
from solver.geometry.solids import pieces_of
from solver.rule_book.book import RuleBook
from solver.sections import Section
from solver.weldment import Part, Pose
from tests.outside import meshes

SECTIONS = (
    Section("square_tube", width=50, wall=3),
    Section("rect_tube", width=60, height=40, wall=4, corner_radius=0.0),
    Section("round_tube", diameter=48.3, wall=3),
    Section("round_bar", diameter=30),
    Section("angle", leg_a=60, leg_b=40, thickness=5),
    Section("channel", height=80, flange=40, web=5, flange_thickness=6),
    Section("flat_bar", width=60, thickness=10),
    Section("plate", plate_outline=((0, 0), (90, 0), (90, 30), (40, 30), (40, 80), (0, 80)),
            plate_cutouts=(((10, 10), (30, 10), (30, 30), (10, 30)),)),
)  # fmt: skip


def turn(draw: Random) -> Array:
    """Return a random rotation (3x3)."""
    q = np.array([draw.gauss(0, 1) for _ in range(4)])
    w, x, y, z = q / np.linalg.norm(q)
    return np.array(
        [
            [1 - 2 * (y * y + z * z), 2 * (x * y - z * w), 2 * (x * z + y * w)],
            [2 * (x * y + z * w), 1 - 2 * (x * x + z * z), 2 * (y * z - x * w)],
            [2 * (x * z - y * w), 2 * (y * z + x * w), 1 - 2 * (x * x + y * y)],
        ]
    )


def a_prism(draw: Random, spread: float = 120.0) -> Prism:
    """Return a profile of random length, anywhere, turned at random or along the axes."""
    section, frame = draw.choice(SECTIONS), np.eye(4)
    frame[:3, :3] = turn(draw) if draw.random() < 0.6 else np.eye(3)[:, draw.choice([[0, 1, 2], [1, 2, 0], [2, 0, 1]])]
    frame[:3, 3] = [draw.uniform(-spread, spread) for _ in range(3)]
    return Prism(section.outline, 0, draw.uniform(20, 200), section.cutouts, as_matrix(frame))


def hulls_of(prisms: Sequence[Prism]) -> Hulls:
    """Return the convex pieces of some prisms; the owner is the prism's place among them."""
    pieces = [(piece, owner) for owner, prism in enumerate(prisms) for piece in pieces_of(prism)]
    return Hulls.of([piece for piece, _ in pieces], [owner for _, owner in pieces])


def hull_gap(one: Prism, other: Prism) -> float:
    a, b = hulls_of([one]), hulls_of([other])
    i, j = (np.ravel(grid) for grid in np.meshgrid(range(len(a)), range(len(b)), indexing="ij"))
    return float(distances(a, i, b, j).min())


@pytest.mark.parametrize("section", SECTIONS, ids=lambda section: section.shape)
def test_convex_pieces_fill_a_prism_and_nothing_else(section: Section) -> None:
    prism = Prism(section.outline, 0, 100, section.cutouts)
    pieces = pieces_of(prism)
    whole = meshes.solid(prism)
    hulls = [m3.Manifold.hull_points(piece) for piece in pieces]
    assert sum(ConvexHull(piece).volume for piece in pieces) == pytest.approx(whole.volume(), rel=1e-9)
    assert (whole - m3.Manifold.batch_boolean(hulls, m3.OpType.Add)).volume() == pytest.approx(0, abs=1e-3)


def distances_agree(seeds: range) -> int:
    apart = 0
    for seed in seeds:
        draw = Random(seed)
        one, other = a_prism(draw), a_prism(draw)
        truth, own = meshes.gap(meshes.solid(one), meshes.solid(other)), hull_gap(one, other)
        assert own == pytest.approx(truth, abs=2e-3), seed
        if truth > 0:
            apart += 1
            assert own == pytest.approx(meshes.surface_gap(meshes.bvh(one), meshes.bvh(other)), abs=1e-3), seed
    return apart


def test_distances_of_profiles_anywhere() -> None:
    assert distances_agree(range(60)) > 20


@pytest.mark.slow
def test_distances_of_six_thousand_pairs() -> None:
    assert distances_agree(range(1000, 7000)) > 2000


def nearness_agrees(seeds: range) -> tuple[int, int]:
    """Check `near` over all pairs of a heap of profiles against their gaps; returns how many were near, how many not."""
    counted = [0, 0]
    for seed in seeds:
        draw = Random(seed)
        prisms = [a_prism(draw, 200) for _ in range(8)]
        limit = draw.choice((0.02, 1.0, 15.0, 40.0))
        hulls = hulls_of(prisms)
        i, j = box_pairs(hulls.boxes, hulls.boxes, limit)
        hit = near(hulls, i, hulls, j, limit)
        found = set(zip(hulls.owner[i[hit]].tolist(), hulls.owner[j[hit]].tolist(), strict=True))
        bodies = [meshes.solid(prism) for prism in prisms]
        for a in range(8):
            for b in range(a):
                truth = meshes.gap(bodies[a], bodies[b])
                if abs(truth - limit) > 1e-3:
                    assert ((a, b) in found) == (truth < limit), (seed, a, b, truth, limit)
                    counted[truth < limit] += 1
    return counted[1], counted[0]


def test_what_comes_nearer_than_a_limit() -> None:
    close, far = nearness_agrees(range(16))
    assert close > 20 and far > 20


def test_sweeps_along_a_straight_move() -> None:
    """A convex body swept is the hull of its two ends; a hollow one is swept piece by piece."""
    for seed in range(25):
        draw = Random(seed)
        one, other = a_prism(draw), a_prism(draw, 250)
        move = np.array([draw.uniform(-150, 150) for _ in range(3)])
        a, b = hulls_of([one]), hulls_of([other])
        swept = a.swept(move)
        i, j = (np.ravel(grid) for grid in np.meshgrid(range(len(swept)), range(len(b)), indexing="ij"))
        own = float(distances(swept, i, b, j).min())
        pieces = [m3.Manifold.hull_points(np.concatenate([piece, piece + move])) for piece in pieces_of(one)]
        truth = meshes.gap(m3.Manifold.batch_boolean(pieces, m3.OpType.Add), meshes.solid(other))
        assert own == pytest.approx(truth, abs=2e-3), seed


def ends_of_stretches_agree(seeds: range) -> int:
    """Check that exact bodies are the clearance apart at both ends of every stretch, nearer within it; returns how many ends."""
    ends = 0
    for seed in seeds:
        draw = Random(seed)
        one, other = a_prism(draw, 80), a_prism(draw, 80)
        clear, angle = draw.choice((1.0, 6.0)), draw.choice((0.0, math.pi / 2, draw.uniform(0, 6.3)))
        along = np.array([math.cos(angle), math.sin(angle), 0.0])
        a, b = hulls_of([one]), hulls_of([other])
        i, j = (np.ravel(grid) for grid in np.meshgrid(range(len(a)), range(len(b)), indexing="ij"))
        shut = Stretches.of(*too_near(a, i, b, j, along, clear))
        moved, fixed = meshes.solid(one), meshes.solid(other)
        for low, high in zip(shut.low.tolist(), shut.high.tolist(), strict=True):
            assert meshes.gap(moved.translate((along * (low + high) / 2).tolist()), fixed) < clear
            for end in (low, high):
                assert meshes.gap(moved.translate((along * end).tolist()), fixed) == pytest.approx(clear, abs=2e-3), seed
                ends += 1
    return ends


def test_where_a_moved_profile_comes_too_near() -> None:
    assert ends_of_stretches_agree(range(20)) > 12


@pytest.mark.slow
def test_where_sixty_moved_profiles_come_too_near() -> None:
    assert ends_of_stretches_agree(range(60)) > 40


def capsules_agree(seeds: range) -> tuple[int, int]:
    """Check torch-like capsules against profiles; returns how many hit and how many missed."""
    counted = [0, 0]
    for seed in seeds:
        draw = Random(seed)
        prism = a_prism(draw)
        start = np.array([draw.uniform(-150, 150) for _ in range(3)])
        end = start + turn(draw)[:, 0] * draw.uniform(20, 130)
        radius = draw.choice((10.0, 35.0))
        body, axis = hulls_of([prism]), Hulls.of([np.array([start, end])], [0])
        i, j = (np.ravel(grid) for grid in np.meshgrid([0], range(len(body)), indexing="ij"))
        own = float(distances(axis, i, body, j).min())
        if abs(own - radius) < 0.02:
            continue
        hit = bool(near(axis, i, body, j, radius).any())
        inside = own == 0.0
        assert hit == (own < radius)
        assert inside or hit == meshes.meet(meshes.capsule(start, end, radius), meshes.bvh(prism)), seed
        counted[hit] += 1
    return counted[1], counted[0]


def test_torch_capsules_against_profiles() -> None:
    hit, missed = capsules_agree(range(400))
    assert hit > 20 and missed > 20


def test_where_two_parts_touch() -> None:
    """The patch of two flat faces has the area of a thin slice of one part pushed into the other."""
    base = Part(
        "base",
        Section("plate", plate_outline=((0, 0), (200, 0), (200, 120), (0, 120))),
        10,
        Pose((0, 0, 0), (0, 0, 1), (0, 1, 0)),
    )
    depth, checked = 0.01, 0
    for seed in range(60):
        draw = Random(seed)
        section = draw.choice([s for s in SECTIONS if s.shape in ("flat_bar", "square_tube", "rect_tube")])
        angle = math.radians(draw.choice((0, 30, 90, 133)))
        along = (math.cos(angle), math.sin(angle), 0.0)
        height = {"flat_bar": 10, "square_tube": 50, "rect_tube": 40}[section.shape]
        at = (draw.uniform(-60, 180), draw.uniform(-40, 120), 10 + height / 2)
        part = Part("top", section, draw.uniform(40, 150), Pose(at, along, (0, 0, 1)))
        faces = [faces_of(k, p, p.pose.frame()) for k, p in enumerate((base, part))]
        patches = [patch for one in faces[0] for other in faces[1] if (patch := facing(one, other)) is not None]
        lower = Prism(base.section.outline, 0, base.length, (), as_matrix(base.pose.frame()))
        edge = section.outside_radius
        assert section.box is not None
        flat = section.box[0] / 2 - edge
        strip = ((-flat, -height / 2), (flat, -height / 2), (flat, 0), (-flat, 0))
        sunk = part.pose.frame()
        sunk[2, 3] -= depth
        upper = Prism(strip, 0, part.length, (), as_matrix(sunk))
        truth = (meshes.solid(lower) ^ meshes.solid(upper)).volume() / depth
        assert sum(area(patch) for patch in patches) == pytest.approx(truth, rel=1e-3, abs=1.0), seed
        checked += truth > 100
    assert checked > 20


# --- weld access -----------------------------------------------------------------------------------------------------


def tee() -> tuple[Prism, Prism]:
    """A wide level plate and one standing on it along x, both meeting in the line y = 0, z = 0; air on the +y, +z side."""
    level = Prism(((-400, -400), (400, -400), (400, 400), (-400, 400)), -10, 0)
    upright = Prism(((-400, -10), (400, -10), (400, 0), (-400, 0)), 0, 400)
    return level, upright


def barrel(work_deg: float, stickout: float, diameter: float = 20.0, length: float = 100.0) -> Prism:
    """A flat-nosed barrel at a work angle measured from the level plate, its face `stickout` from the root."""
    angle = math.radians(work_deg)
    w = np.array([0.0, math.cos(angle), math.sin(angle)])
    frame = np.eye(4)
    frame[:3, 0], frame[:3, 1], frame[:3, 2] = [1, 0, 0], np.cross(w, [1, 0, 0]), w
    ring = tuple((diameter / 2 * math.cos(a), diameter / 2 * math.sin(a)) for a in np.arange(720) * math.pi / 360)
    return Prism(ring, stickout, stickout + length, (), as_matrix(frame))


# Check 11a, hand calculation from the barrel of Steel Designers' Manual, 6th ed. (2003), p. 693 (20 mm barrel, 100 mm long): the gap
# to the plate is s sin w - 10 cos w, so a barrel 15 mm from the root is free between 33.69 and 56.31 degrees.
@pytest.mark.parametrize(("stickout", "low", "high"), [(15.0, 33.69, 56.31), (19.0, 27.76, 62.24)])
def test_the_free_window_of_a_flat_nosed_barrel(stickout: float, low: float, high: float) -> None:
    level, upright = tee()
    for work in (20, low - 0.1, low + 0.1, 40, 45, 50, high - 0.1, high + 0.1, 70):
        prism = barrel(work, stickout)
        angle = math.radians(work)
        gaps = [stickout * math.sin(angle) - 10 * math.cos(angle), stickout * math.cos(angle) - 10 * math.sin(angle)]
        own = [hull_gap(prism, level), hull_gap(prism, upright)]
        assert own == pytest.approx([max(0.0, value) for value in gaps], abs=5e-3)
        assert own == pytest.approx(
            [meshes.gap(meshes.solid(prism), meshes.solid(plate)) for plate in (level, upright)], abs=5e-3
        )
        assert (min(own) > 0) == (low < work < high)


# Check 7b, hand calculation: gap of the rim on the 45 degree bisector, barrel diameter 20: s = 10 -> 0, 15 -> 3.536, 19 -> 6.364.
@pytest.mark.parametrize(("stickout", "gap"), [(10.0, 0.0), (15.0, 3.536), (19.0, 6.364)])
def test_the_gap_on_the_bisector(stickout: float, gap: float) -> None:
    assert hull_gap(barrel(45, stickout), tee()[0]) == pytest.approx(gap, abs=2e-3)


def test_the_wedge_of_a_tee_and_the_work_angles_tried() -> None:
    """The open wedge is a right angle about 45 degrees; work angles reach 15 degrees to either side, inside 30 to 60.

    The range 30 to 60 degrees is the one of Modern Welding (Goodheart-Willcox 2013) pp. 68-70.
    """
    level, upright = tee()
    found = wedges(np.zeros(3), np.array([1.0, 0.0, 0.0]), ([level], [upright]), 4.0)
    assert len(found) == 1
    wedge = found[0]
    assert math.degrees(wedge.opening) == pytest.approx(90, abs=1)
    assert wedge.bisector == pytest.approx([0, math.sqrt(0.5), math.sqrt(0.5)], abs=0.01)
    rules = RuleBook({})
    tried = torch_directions(Sample(0, np.zeros(3), np.array([1.0, 0.0, 0.0]), wedge), rules)
    works = np.degrees(np.arctan2(-tried[:, 2], -tried[:, 1]))
    assert works.min() == pytest.approx(30, abs=0.6) and works.max() == pytest.approx(60, abs=0.6)
    travel = np.degrees(np.arctan2(tried[:, 0], np.hypot(tried[:, 1], tried[:, 2])))
    assert np.abs(travel).max() <= 15 + 1e-6
    # hand calculation: a round-nosed torch, centre s + r from the root, is clear of the plate where (s + r) sin w > r
    reach = rules["torch.stickout"] + rules["torch.nozzle_diameter"] / 2
    clear = math.degrees(math.asin(rules["torch.nozzle_diameter"] / 2 / reach))
    assert clear == pytest.approx(23.58, abs=0.01) and works.min() > clear
