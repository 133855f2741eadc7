"""The open side of a joint: angles worked out by hand."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest

from solver.checks.scene.wedge import Wedge, drawn_wedge
from solver.sections import Section
from solver.weldment import Part, Pose, Weld
from tests import builders as b


def wedge(a: Part, c: Part, *path: Any, kind: Any = "fillet", side: Any = None) -> Wedge | None:
    leg, throat = (4.0, None) if kind in ("fillet", "lap") else (None, 3.0)
    return drawn_wedge(Weld("w", (a.id, c.id), path, kind, side=side, leg=leg, throat=throat), a, c, 0)


def upright(x: float, thickness: float = 8, tilt: float = 90) -> Part:
    """A plate standing on z = 0 along y, its right face rising from (x, 0) at `tilt` degrees to +x."""
    rise = np.array([math.cos(math.radians(tilt)), 0, math.sin(math.radians(tilt))])
    along = np.cross(np.array([0.0, 1, 0]), rise)
    outline = ((-5, 0), (105, 0), (105, 80), (-5, 80))
    section = Section("plate", plate_outline=outline)
    # Local u = up x along runs along y, local v rises, local w points out of the right face: the plate lies behind it.
    at = np.array([x, 0, 0]) - thickness * along
    return Part("upright", section, thickness, Pose(tuple(at), tuple(along), tuple(rise)))


GROUND = b.plate("ground", (200, 100), 10, (-100, 0, -10))


def angle(found: Wedge | None) -> tuple[float, float]:
    assert found is not None
    return found.opening, math.degrees(math.atan2(found.bisector[2], found.bisector[0])) % 360


def test_a_tee_opens_a_right_angle_on_either_side() -> None:
    right = wedge(GROUND, upright(0), (0, 10, 0), (0, 90, 0))
    left = wedge(GROUND, upright(8), (0, 10, 0), (0, 90, 0))
    assert angle(right) == pytest.approx((90, 45), abs=0.01)
    assert angle(left) == pytest.approx((90, 135), abs=0.01)


@pytest.mark.parametrize("tilt", [45, 60, 120])
def test_a_leaning_plate_opens_what_it_leans(tilt: float) -> None:
    # A plate leaning by its angle cuts into or leaves the ground behind its root; the open side before it is what counts.
    found = wedge(GROUND, upright(0, tilt=tilt), (0, 10, 0), (0, 90, 0), side=(1, 0, 0.2))
    assert angle(found)[0] == pytest.approx(tilt, abs=0.01)
    assert angle(found)[1] == pytest.approx(tilt / 2, abs=0.01)


def test_a_wedge_of_30_degrees_is_shut_and_a_wider_one_open() -> None:
    # Leaning at 29.9 degrees only the gap under the plate's square edge is left: 90 - 29.9, whatever `side` says.
    under = wedge(GROUND, upright(0, tilt=29.9), (0, 10, 0), (0, 90, 0), side=(1, 0, 0.2))
    assert angle(under)[0] == pytest.approx(60.1, abs=0.01)
    found = wedge(GROUND, upright(0, tilt=31), (0, 10, 0), (0, 90, 0), side=(1, 0, 0.2))
    assert angle(found)[0] == pytest.approx(31, abs=0.01)


def butt_plates() -> tuple[Part, Part]:
    return b.plate("left", (50, 100), 6, (-50, 0, 0)), b.plate("right", (50, 100), 6, (0, 0, 0))


def test_a_butt_joint_opens_along_the_surface_normal_and_the_upper_side_comes_first() -> None:
    left, right = butt_plates()
    top = wedge(left, right, (0, 0, 6), (0, 100, 6), kind="butt")
    assert angle(top) == pytest.approx((180, 90), abs=0.01)


def test_side_says_which_of_two_open_sides() -> None:
    thin_left, thin_right = b.plate("left", (50, 100), 0.6, (-50, 0, 0)), b.plate("right", (50, 100), 0.6, (0.4, 0, 0))
    path = ((0.2, 0, 0.3), (0.2, 100, 0.3))
    assert angle(wedge(thin_left, thin_right, *path, kind="butt"))[1] == pytest.approx(90, abs=1)
    assert angle(wedge(thin_left, thin_right, *path, kind="butt", side=(0, 0, -1)))[1] == pytest.approx(270, abs=1)


def test_a_flush_corner_opens_half_way_round() -> None:
    found = wedge(GROUND, upright(100), (100, 10, 0), (100, 90, 0), kind="corner")
    assert angle(found) == pytest.approx((180, 0), abs=0.01)


def test_rays_run_along_the_faces_of_both_parts() -> None:
    found = wedge(GROUND, upright(0), (0, 10, 0), (0, 90, 0))
    assert found is not None
    assert np.allclose(found.rays["ground"], (1, 0, 0), atol=1e-6)
    assert np.allclose(found.rays["upright"], (0, 0, 1), atol=1e-6)


def test_a_path_drawn_a_little_off_its_root_does_not_tilt_the_wedge() -> None:
    assert angle(wedge(GROUND, upright(0), (0.05, 10, 0.05), (0.05, 90, 0.05))) == pytest.approx((90, 45), abs=0.01)


def test_a_round_tube_lying_on_a_plate_has_its_flare_at_its_side() -> None:
    tube = Part("tube", Section("round_tube", diameter=60, wall=4), 100, Pose((0, 0, 30), (0, 1, 0), (0, 0, 1)))
    found = wedge(GROUND, tube, (3, 10, 0.15), (3, 90, 0.15), kind="flare")
    assert found is not None
    assert found.bisector[0] > 0.9
