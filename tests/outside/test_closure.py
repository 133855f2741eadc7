"""Form and force closure, friction and tipping against published statements and hand calculations.

Contacts close a part if they immobilise it whatever pushes it: then, and only then, it is held without weight against a small
push along and a small couple about either sense of every axis, since a cone of forces that holds all of those is everything.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import product

import numpy as np
import pytest

from inventory.shapes import Array
from solver.rule_book import VALUES
from solver.statics import (
    ClampForce,
    Clamps,
    ContactPoint,
    Contacts,
    ContactSystem,
    LoadCases,
    PartWeights,
    holding_verdict,
)
from solver.statics.loads import NO_PART, CaseName
from tests.solver.statics.shop import block, push

LEVER = 50.0
"""Half the distance between a couple's two forces, mm."""


def pushes_and_couples(about: Array, axes: Sequence[int], turns: Sequence[int]) -> LoadCases:
    """Return gravity, a push of 1 N along either sense of each of `axes`, a couple about either sense of each of `turns`."""
    forces, ats = [np.zeros((2, 3))], [np.tile(about, (2, 1))]
    for axis, sign in product(axes, (1.0, -1.0)):
        forces.append(np.stack([sign * np.eye(3)[axis], np.zeros(3)]))
        ats.append(np.tile(about, (2, 1)))
    for turn, sign in product(turns, (1.0, -1.0)):
        arm, force = LEVER * np.eye(3)[(turn + 1) % 3], sign * np.eye(3)[(turn + 2) % 3]
        forces.append(np.stack([force, -force]))
        ats.append(np.stack([about + arm, about - arm]))
    count = len(forces)
    names = (CaseName("gravity"), *(CaseName("handling") for _ in range(count - 1)))
    part = np.array([[NO_PART, NO_PART], *([0, 0] for _ in range(count - 1))])
    return LoadCases(names, part, np.array(ats), np.array(forces), np.full((count, 3), np.nan))


def closed(at: Array, normal: Array, friction: float = 0.0, *, level: bool = False) -> bool:
    """Return whether contacts (points and normals into the part, (k, 3) each) close a part; `level`: in the x-y plane."""
    points = [ContactPoint(0, where, along) for where, along in zip(at.tolist(), normal.tolist(), strict=True)]
    about = at.mean(axis=0)
    alone = ContactSystem(PartWeights(about[None], np.zeros(1)), Contacts.of(points), Clamps.of([]), friction)
    cases = pushes_and_couples(about, (0, 1), (2,)) if level else pushes_and_couples(about, (0, 1, 2), (0, 1, 2))
    return holding_verdict(alone, cases, most_failures=1).ok


def closed_in_the_plane(
    points: Sequence[tuple[float, float]], normals: Sequence[tuple[float, float]], friction: float = 0.0
) -> bool:
    at, normal = (np.column_stack([np.array(rows, dtype=float), np.zeros(len(rows))]) for rows in (points, normals))
    return closed(at, normal, friction, level=True)


def four_edges(left: float, right: float, bottom: float, top: float, a: float = 200, b: float = 100) -> bool:
    """Return whether one contact on each edge of a rectangle a x b closes it."""
    return closed_in_the_plane([(0, left), (a, right), (bottom, 0), (top, b)], [(1, 0), (-1, 0), (0, 1), (0, -1)])


def test_rectangle_with_one_contact_on_each_edge() -> None:
    # Hand calculation: closed exactly if (right - left)(top - bottom) > 0.
    assert four_edges(30, 70, 60, 140)
    for edges in ((30, 70, 140, 60), (50, 50, 100, 100), (30, 70, 100, 100)):
        assert not four_edges(*edges)


def test_rectangle_on_a_25_mm_lattice_has_126_closed_layouts_of_441() -> None:
    # Hand calculation by the closed form; replaces a published example that could not be retrieved.
    rows, columns = (25, 50, 75), range(25, 176, 25)
    layouts = [four_edges(*edges) for edges in product(rows, rows, columns, columns)]
    assert (sum(layouts), len(layouts)) == (126, 441)


def test_fewer_than_four_frictionless_contacts_never_close_in_the_plane() -> None:
    # Lynch & Park, Modern Robotics, section 12.1.7: at least four in the plane, seven in space.
    rng = np.random.default_rng(0)
    for _ in range(50):
        angles = rng.uniform(0, 2 * np.pi, 3)
        normals = list(zip(np.cos(angles), np.sin(angles), strict=True))
        assert not closed_in_the_plane([tuple(p) for p in rng.uniform(0, 100, (3, 2))], normals)


def test_the_closed_form_and_statics_agree_on_random_rectangles() -> None:
    # Hand calculation, (right - left)(top - bottom) > 0; 100 random layouts.
    rng = np.random.default_rng(3)
    for _ in range(100):
        a, b = rng.uniform(50, 400, 2)
        left, right, bottom, top = rng.uniform(0.02, 0.98, 4) * (b, b, a, a)
        assert four_edges(left, right, bottom, top, a, b) is bool((right - left) * (top - bottom) > 0), (left, right, bottom, top)


def test_fewer_than_seven_frictionless_contacts_never_close_in_space() -> None:
    # Lynch & Park, Modern Robotics, section 12.1.7.
    rng = np.random.default_rng(1)
    for _ in range(50):
        normals = rng.normal(size=(6, 3))
        normals /= np.linalg.norm(normals, axis=1)[:, None]
        assert not closed(rng.uniform(-100, 100, (6, 3)), normals)


def test_a_sphere_is_never_closed_however_many_contacts_touch_it() -> None:
    # Lynch & Park, Modern Robotics, section 12.1.7: every normal passes through the centre, nothing keeps it from turning.
    rng = np.random.default_rng(2)
    for count in (7, 12, 40):
        outward = rng.normal(size=(count, 3))
        outward /= np.linalg.norm(outward, axis=1)[:, None]
        assert not closed(50 * outward, -outward)


def test_two_locators_one_locator_and_one_square_clamp_never_close_a_rectangle() -> None:
    # Argument: the clamp cannot press in -x and -y at once.
    locators = [(50.0, 0.0), (150.0, 0.0), (0.0, 50.0)], [(0.0, 1.0), (0.0, 1.0), (1.0, 0.0)]
    for at, normal in [((x, 100), (0, -1)) for x in range(10, 200, 20)] + [((200, y), (-1, 0)) for y in range(10, 100, 20)]:
        assert not closed_in_the_plane([*locators[0], at], [*locators[1], normal])
    assert closed_in_the_plane([*locators[0], (190, 100)], [*locators[1], (-np.sqrt(0.5), -np.sqrt(0.5))])


def test_triangle_with_contacts_at_mid_edges_is_not_closed_to_first_order() -> None:
    # Cheong, Haverkort, van der Stappen (docslib.org/doc/6712264): immobilised in the second-order sense only.
    corners = np.array([(0, 0), (100, 0), (50, 50 * np.sqrt(3))])
    centre = corners.mean(axis=0)
    middles = [(corners[k] + corners[(k + 1) % 3]) / 2 for k in range(3)]
    inward = [tuple((centre - middle) / np.linalg.norm(centre - middle)) for middle in middles]
    assert not closed_in_the_plane([tuple(middle) for middle in middles], inward)


SIX = (
    [(20, 20, 0), (180, 20, 0), (100, 80, 0), (40, 0, 20), (160, 0, 20), (0, 50, 20)],
    [(0, 0, 1), (0, 0, 1), (0, 0, 1), (0, 1, 0), (0, 1, 0), (1, 0, 0)],
)


def box_closed_by(*more: tuple[tuple[float, float, float], tuple[float, float, float]]) -> bool:
    """Return whether a box on three supports, two side points and an end point is closed by more contacts."""
    return closed(
        np.array([*SIX[0], *(m[0] for m in more)], dtype=float), np.array([*SIX[1], *(m[1] for m in more)], dtype=float)
    )


def test_box_on_six_locators_needs_a_seventh_contact_at_the_right_place() -> None:
    # Hand calculation; seven needed in space: Modern Robotics, section 12.1.7.
    slanted = (-1 / np.sqrt(3), -1 / np.sqrt(3), -1 / np.sqrt(3))
    assert not box_closed_by()
    assert box_closed_by(((120, 50, 40), slanted))
    assert not box_closed_by(((200, 100, 40), slanted))


def test_three_square_clamps_close_the_box_only_over_the_supports_and_between_the_side_points() -> None:
    # Hand calculation.
    down, side, end = ((100, 40, 40), (0, 0, -1)), ((100, 100, 20), (0, -1, 0)), ((200, 50, 20), (-1, 0, 0))
    assert box_closed_by(down, side, end)
    assert not box_closed_by(((10, 10, 40), (0, 0, -1)), side, end)
    assert not box_closed_by(down, ((30, 100, 20), (0, -1, 0)), end)


@pytest.mark.parametrize(("mu", "offset", "closes"), [(0.2, 39, True), (0.2, 41, False), (0.15, 29, True), (0.15, 31, False)])
def test_two_rough_contacts_close_if_the_line_between_them_lies_in_both_cones(mu: float, offset: float, closes: bool) -> None:
    # Nguyen's theorem, as told in E. Paulos, "Trends in Grasping"; numbers by hand: |d| < 200 mu.
    assert closed_in_the_plane([(0, 20), (200, 20 + offset)], [(1, 0), (-1, 0)], mu) is closes


@pytest.mark.parametrize(("push_n", "ok"), [(799, True), (801, False)])
def test_a_clamp_of_2000_n_with_two_rough_faces_resists_800_n(push_n: float, ok: bool) -> None:
    # Hand calculation: 2 x 0.2 x 2000 N.
    pressed = block(1e-6, 100, 50, clamps=(ClampForce(0, (0, 0, 50), (0, 0, -1), 2000),), mu=0.2)
    assert holding_verdict(pressed, push(((0, 0, 25), (push_n, 0, 0)))).ok is ok


@pytest.mark.parametrize(("force_n", "ok"), [(3333.0, False), (3333.7, True)])
def test_force_needed_to_resist_500_n_twice_over(force_n: float, ok: bool) -> None:
    # Hand calculation: 2 x 500 / (2 x 0.15) = 3333.3 N.
    pressed = block(1e-6, 100, 50, clamps=(ClampForce(0, (0, 0, 50), (0, 0, -1), force_n),), mu=0.15)
    assert holding_verdict(pressed, push(((0, 0, 25), (2 * 500, 0, 0)))).ok is ok


@pytest.mark.parametrize(("mu", "push_n", "ok"), [(0.2, 19.9, True), (0.2, 20.1, False), (0.3, 24.9, True), (0.3, 25.1, False)])
def test_a_tall_block_slides_before_it_tips_on_a_slippery_table_and_tips_first_on_a_rough_one(
    mu: float, push_n: float, ok: bool
) -> None:
    # Hand calculation: 100 N, base 100, height 200, pushed at the top: tips at 25 N, slides at mu x 100 N.
    assert holding_verdict(block(100, 100, 200, mu=mu), push(((50, 0, 200), (push_n, 0, 0)))).ok is ok


@pytest.mark.parametrize(
    ("mu", "degrees"), [(0.15, 8.531), (0.20, 11.310), (0.42, 22.782), (0.57, 29.683), (0.74, 36.501), (0.78, 37.954)]
)
def test_a_block_slides_down_a_slope_steeper_than_its_friction_cone(mu: float, degrees: float) -> None:
    # Hand calculation: the cone's half angle is atan mu. The table stays level; the weight leans as it would on the slope.
    assert np.degrees(np.arctan(mu)) == pytest.approx(degrees, abs=5e-4)
    for off, ok in ((-0.01, True), (0.01, False)):
        slope = np.radians(degrees + off)
        weight = 100.0 / np.cos(slope)
        level = weight * np.sin(slope)
        assert holding_verdict(block(100, 100, 20, mu=mu), push(((0, 0, 0), (level, 0, 0)))).ok is ok
        assert holding_verdict(block(100, 100, 20, mu=mu), push(((0, 0, 0), (0, level, 0)))).ok is ok


def test_nothing_is_held_with_the_friction_of_clean_steel() -> None:
    # Gieck, Engineering Formulas, 7th ed.: steel on steel 0.15 to 0.30 at rest; 0.74 to 0.78 is clean, dry metal in a laboratory.
    rule = VALUES["hold.friction"]
    assert 0.15 <= rule.default <= 0.30 and rule.default == 0.15
