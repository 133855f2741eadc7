"""How much of a pad bears: by hand on edges, in notches and on the ends of tubes, for every place along a face."""

from __future__ import annotations

import numpy as np
import pytest

from solver.geometry.faces import Face, faces_of, pad_axes, tangent_face
from solver.geometry.pads import pad_patches
from solver.sections import Section
from solver.weldment import Part, Pose
from tests import builders as b

LEAST = 3.0


def face_of(part: Part, label: str) -> Face:
    return next(face for face in faces_of(0, part, part.pose.frame()) if face.label == label)


def touching(face: Face, centres: list[tuple[float, float, float]], size: tuple[float, float], share: float) -> list[int]:
    found = pad_patches(face, np.array(centres), pad_axes(-face.normal), size, LEAST, share)
    return sorted(found.pads.tolist())


PLATE = b.plate("p", (100, 80), 8)


def test_half_a_stop_bears_beside_the_end_of_an_edge() -> None:
    """A stop 28 wide whose middle is at the corner bears on 14; one a millimetre farther out does not bear."""
    edge, places = face_of(PLATE, "side:0"), [(50.0, 0.0, 4.0), (0.0, 0.0, 4.0), (-1.0, 0.0, 4.0), (-10.0, 0.0, 4.0)]
    assert touching(edge, places, (28, 60), 0.5) == [0, 1]
    assert touching(edge, places, (28, 60), 0.0) == [0, 1, 2, 3]
    assert touching(edge, places, (28, 60), 1.0) == [0]


def test_the_lesser_of_pad_and_face_counts() -> None:
    """On an edge 20 long a stop 28 wide bears if it meets 10 of it; a plate 8 thick needs 4 of its height."""
    narrow = face_of(b.plate("n", (20, 80), 8), "side:0")
    assert touching(narrow, [(-4.0, 0.0, 4.0), (-4.1, 0.0, 4.0)], (28, 60), 0.5) == [0]
    assert touching(narrow, [(10.0, 0.0, -26.0), (10.0, 0.0, -26.1)], (28, 60), 0.5) == [0]


def test_a_rest_bears_along_both_its_directions() -> None:
    under = face_of(PLATE, "start")
    places = [(10.0, 10.0, 0.0), (0.0, 0.0, 0.0), (-1.0, 10.0, 0.0), (10.0, -1.0, 0.0)]
    assert touching(under, places, (30, 30), 0.5) == [0, 1]


def test_on_a_face_that_is_no_rectangle_the_patch_counts_along_the_pads_directions() -> None:
    """A triangle with legs of 100: a tip of 16 beyond its sharp corner meets a triangle of 6."""
    gusset = face_of(b.outline_plate("g", ((0, 0), (100, 0), (0, 100)), 8), "end")
    assert touching(gusset, [(40.0, 10.0, 8.0), (92.0, 0.0, 8.0), (102.0, 0.0, 8.0)], (16, 16), 0.5) == [0, 1]


def test_at_the_end_of_a_tube_the_outline_counts_not_the_wall() -> None:
    """A tube 50 wide: a stop 28 wide at its middle meets two strips of wall and bears; with 13 mm over the outline it does not."""
    end = face_of(b.tube("t", 50, 3, 300), "end")
    places = [(300.0, 0.0, 25.0), (300.0, 25.0, 25.0), (300.0, 26.0, 25.0)]
    assert touching(end, places, (28, 60), 0.5) == [0, 1]


def test_at_the_end_of_an_angle_the_hull_of_its_outline_counts() -> None:
    """Legs of 50: a pad of 20 x 20 over the slanted side of the hull covers 20 x 20 less a corner, and one leg's toe is enough."""
    section = Section("angle", leg_a=50, leg_b=50, thickness=5)
    end = face_of(Part("a", section, 200, Pose((0, 0, 0), (1, 0, 0), (0, 0, 1)), "steel"), "end")
    centre = end.lifted(np.array([[12.0, 12.0], [45.0, 2.5], [62.0, 2.5]]))
    assert touching(end, [tuple(row) for row in centre.tolist()], (20, 20), 0.5) == [0, 1]


def test_the_line_of_a_round_part_bears_as_it_is() -> None:
    rod = Part("r", Section("round_bar", diameter=20), 100, Pose((0, 0, 10), b.X, b.Z), "steel")
    line = tangent_face(0, rod, rod.pose.frame(), np.array([0.0, 1.0, 0.0]))
    assert line is not None
    assert touching(line, [(-8.0, 10.0, 10.0)], (28, 60), 0.5) == [0]


@pytest.mark.parametrize("share", [0.0, 0.25, 0.5, 0.75, 1.0])
def test_what_bears_is_so_far_over_the_edge_and_no_farther(share: float) -> None:
    """By hand: a pad 28 wide at x bears min(x + 14, 100) - max(x - 14, 0) on an edge 100 long."""
    edge, at = face_of(PLATE, "side:0"), np.arange(-20, 121, 0.5)
    found = touching(edge, [(x, 0.0, 4.0) for x in at.tolist()], (28, 60), share)
    wide = np.minimum(at + 14, 100) - np.maximum(at - 14, 0)
    assert found == np.flatnonzero(wide >= max(LEAST, share * 28) - 1e-9).tolist()
