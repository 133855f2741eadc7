"""Pictures in space: faces of a body close it, what is seen is on the paper, pieces on pieces are one picture."""

from __future__ import annotations

import numpy as np
import pytest

from inventory.shapes import PlaneCut, Prism
from service.drawings.scene import scene
from service.drawings.stacks import over_one_hole, stacks
from service.drawings.views.stack_picture import facets, stack_picture
from tests.service.drawings.example import subject
from tests.service.drawings.kept import KEPT, corners, each_line, kept

SQUARE = ((0.0, 0.0), (10.0, 0.0), (10.0, 20.0), (0.0, 20.0))


@pytest.mark.parametrize("cuts", [(), (PlaneCut((0.0, 0.0, 25.0), (0.0, 0.6, 0.8)),)])
@pytest.mark.parametrize("outline", [SQUARE, SQUARE[::-1]])
def test_the_faces_of_a_body_close_it(outline: tuple[tuple[float, float], ...], cuts: tuple[PlaneCut, ...]) -> None:
    """By the divergence theorem the areas times outward normals of a closed surface add up to nothing."""
    total, volume = np.zeros(3), 0.0
    for facet in facets(Prism(outline, 0.0, 30.0, cuts=cuts)):
        a = facet.corners[0]
        area = sum(
            (np.cross(b - a, c - a) / 2 for b, c in zip(facet.corners[1:], facet.corners[2:], strict=False)), start=np.zeros(3)
        )
        outward = np.linalg.norm(area) * facet.normal
        total += outward
        volume += float(a @ outward) / 3
    assert np.abs(total).max() < 1e-6
    assert volume == pytest.approx(6000.0 if not cuts else 10 * (20 * 30 - _cut_away()), rel=1e-6)


def _cut_away() -> float:
    """The area of the trapezoid that the plane 0.6 v + 0.8 (w - 25) = 0 takes off the 20 x 30 side."""
    at_0, at_20 = 25.0, 25.0 - 0.75 * 20.0
    return 20 * ((30 - at_0) + (30 - at_20)) / 2


@pytest.mark.parametrize("name", KEPT)
def test_every_stack_has_its_picture_within_its_paper(name: str) -> None:
    drawn = scene(kept(name))
    found = stacks(drawn)
    assert sorted(piece.number for stack in found for piece in stack) == list(range(1, len(drawn.pieces) + 1))
    for stack in found:
        picture = stack_picture(drawn, stack, (26.0, 22.0))
        boxes: list[tuple[float, float, float, float]] = []
        each_line(picture.marks, lambda group, line, boxes=boxes: boxes.append(corners(line.lines[0])))  # type: ignore[misc]
        assert boxes
        assert all(left >= 0 and top >= 0 and right <= 26 and bottom <= 22 for left, top, right, bottom in boxes)


def test_what_stands_on_a_piece_belongs_to_its_stack() -> None:
    drawn = scene(subject())
    assert [[piece.id for piece in stack] for stack in stacks(drawn)] == [["p1"], ["p2"], ["p3"], ["p4"], ["p5", "p10"]]
    assert [len(stack) for stack in over_one_hole(drawn)] == [1, 1, 1, 1, 2]
