"""Closed rings and their tips, found among parts as they lie."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from solver.laying.closed_rings import leans_on_itself
from solver.laying.laid_weldment import LaidWeldment
from solver.laying.lay_out import lay_out
from solver.rule_book.book import RuleBook
from solver.weldment import Weldment
from tests import builders as b
from tests.outside import rings
from tests.outside.corners import corner


def laid(weldment: Weldment, rotation: np.ndarray | None = None) -> LaidWeldment:
    return lay_out(weldment, RuleBook({}), np.eye(3) if rotation is None else rotation, 0.0, ())


def test_a_frame_is_one_ring_with_a_joint_a_corner_and_two_tips_a_tube() -> None:
    found = laid(rings.frame())
    (ring,) = found.rings
    assert ring.parts == (0, 1, 2, 3) and len(ring.joints) == 4
    assert [[tip.label for tip in part.tips] for part in found.parts] == [["tip:0", "tip:1"]] * 4


def test_a_tip_is_the_upright_edge_at_the_outside_of_a_corner() -> None:
    """Tubes 50 wide with corners of radius 6, over centre lines from (0, 0): the edge at (-25, -25), 6 to 44 high."""
    first = laid(rings.frame()).parts[0].tips[0]
    assert first.corners() == pytest.approx(np.array([[-25, -25, 6], [-25, -25, 44]]))
    assert first.normal == pytest.approx([-1, 0, 0])


def test_in_a_ring_of_eight_a_tip_is_met_along_the_part_or_flush_with_the_next() -> None:
    first = laid(rings.octagon()).parts[0]
    normals = [tip.normal for tip in first.tips if tip.label == "tip:0"]
    assert normals[0] == pytest.approx([-1, 0, 0])
    assert normals[1] == pytest.approx([-math.sqrt(0.5), -math.sqrt(0.5), 0])


def test_a_corner_is_no_ring() -> None:
    found = laid(corner(90))
    assert found.rings == () and all(part.tips == () for part in found.parts)


def test_a_frame_with_one_side_missing_is_no_ring() -> None:
    frame = rings.frame()
    assert laid(b.weldment(*frame.parts[:3])).rings == ()


def test_two_frames_beside_each_other_are_two_rings() -> None:
    frame = rings.frame()
    other = [
        replace(part, id=f"b{part.id}", pose=replace(part.pose, at=(part.pose.at[0] + 600, *part.pose.at[1:])))
        for part in frame.parts
    ]
    assert [ring.parts for ring in laid(b.weldment(*frame.parts, *other)).rings] == [(0, 1, 2, 3), (4, 5, 6, 7)]


def test_a_frame_on_edge_has_no_upright_mitres() -> None:
    upright = np.array([[1.0, 0, 0], [0, 0, -1], [0, 1, 0]])
    assert laid(rings.frame(), upright).rings == ()


def test_a_ring_leans_on_itself_by_a_part_loaded_between_its_own() -> None:
    """A strut between the long tubes, in before the last of them: it leans on one and carries the other."""
    strut = b.tube("strut", length=250, at=(200, 25, 25), along=b.Y)
    found = laid(b.weldment(*rings.frame().parts, strut))
    (ring,) = found.rings
    assert not leans_on_itself(replace(found, order=(0, 1, 2, 3, 4)), ring)
    assert leans_on_itself(replace(found, order=(0, 1, 4, 3, 2)), ring)
