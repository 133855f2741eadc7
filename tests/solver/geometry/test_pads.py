"""Patches of pads on the ends of thin-walled sections: the hull of the material met, and the point that locates lies on it."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import shapely

from inventory.shapes import Array
from solver.geometry.faces import Face, faces_of, pad_axes
from solver.geometry.pads import Patches, pad_patches
from solver.sections.section import Section
from solver.weldment import Part, Pose
from tests import builders as b


def end_of(part: Part) -> Face:
    return next(face for face in faces_of(0, part, part.pose.frame()) if face.label == "end")


def met(face: Face, at: tuple[float, float], size: tuple[float, float], *, centred: bool = False) -> Patches:
    """Return the patch of one pad with its centre at (y, z) on an end that looks along x."""
    centre = np.array([[float(face.origin[0]), *at]])
    return pad_patches(face, centre, pad_axes(-face.normal), size, 3.0, centred=centred)


def box_of(patch: Array) -> list[list[float]]:
    return [patch[:, 1:].min(axis=0).tolist(), patch[:, 1:].max(axis=0).tolist()]


def test_a_pad_over_the_corner_of_a_tube_bears_on_both_walls() -> None:
    tube = b.tube("t", 30, 3, 100, (0, 0, 15))
    sharp = replace(tube, section=replace(tube.section, corner_radius=0.0))
    found = met(end_of(sharp), (10.0, 25.0), (14.0, 14.0), centred=True)
    assert box_of(found.patches[0]) == pytest.approx(np.array([[3.0, 18.0], [15.0, 30.0]]))
    assert found.points[0].tolist() == pytest.approx([100.0, 10.0, 25.0])


def test_a_pad_on_one_wall_of_a_tube_bears_on_that_wall() -> None:
    face = end_of(b.tube("t", 60, 3, 100, (0, 0, 30)))
    assert box_of(met(face, (0.0, 60.0), (14.0, 14.0)).patches[0]) == pytest.approx(np.array([[-7.0, 57.0], [7.0, 60.0]]))
    assert met(face, (0.0, 30.0), (14.0, 14.0)).patches == []


def test_a_stop_bears_on_both_legs_of_an_angle_and_locates_where_there_is_steel() -> None:
    section = Section("angle", leg_a=50, leg_b=50, thickness=5)
    face = end_of(Part("a", section, 200, Pose((0, 0, 0), (1, 0, 0), (0, 0, 1)), "steel"))
    middle = face.lifted(np.array([25.0, 25.0]))[1:]
    found = met(face, (float(middle[0]), float(middle[1])), (40.0, 40.0))
    assert len(found.patches) == 1
    material = face.shape.buffer(1e-6)
    assert all(material.covers(shapely.Point(corner)) for corner in face.flat(found.patches[0]))
    assert material.covers(shapely.Point(face.flat(found.points)[0]))
    assert met(face, (float(middle[0]), float(middle[1])), (40.0, 40.0), centred=True).patches == []
