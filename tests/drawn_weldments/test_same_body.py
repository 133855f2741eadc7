"""What compares bodies sees every difference that counts, and none in the way a section is put."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from inventory.shapes import PlaneCut
from solver.sections import Section
from solver.weldment import Part, Pose
from tests.drawn_weldments.corpus import CORPUS
from tests.drawn_weldments.drawn_weldment import DrawnPart, DrawnWeldment, angle, member, moved, pipe, place, plane, rect
from tests.drawn_weldments.same_body import differences, length_left


def drawn(section: Section, length: float = 100.0) -> DrawnPart:
    return member("bar", section, length, (1, 2, 3), (1, 0, 0), (0, 0, 1), [plane((length + 1, 2, 3), (1, 0.5, 0))])


@pytest.mark.parametrize("weldment", CORPUS, ids=lambda weldment: weldment.name)
def test_every_part_is_the_body_it_is_and_no_other_of_its_weldment(weldment: DrawnWeldment) -> None:
    parts = weldment.drawn
    for one in parts:
        assert differences(one, one.part) == []
        assert all(differences(one, other.part) for other in parts if other is not one)


def test_the_way_a_section_is_put_does_not_count() -> None:
    own = drawn(rect(60, 40, 3))
    turned = Part("turned", rect(40, 60, 3), 100.0, Pose((1, 2, 3), (1, 0, 0), (0, 1, 0)))
    (cut,) = own.part.cuts
    u, v, w = cut.normal
    turned = replace(turned, cuts=(PlaneCut((-cut.point[1], cut.point[0], cut.point[2]), (-v, u, w)),))
    assert differences(own, turned) == []
    legs = member("legs", angle(60, 40, 5), 100, (0, 0, 0), (1, 0, 0), (0, 0, 1))
    from_the_other_end = Part("legs", angle(40, 60, 5), 100.0, Pose((100, 0, 0), (-1, 0, 0), (0, 1, 0)))
    assert differences(legs, from_the_other_end) == []


def test_a_part_is_as_long_as_its_cuts_leave_it() -> None:
    assert length_left(drawn(rect(60, 40, 3)).part) == pytest.approx(100)  # the cut leaves the far corner of the end
    short = member("bar", rect(60, 40, 3), 100, (1, 2, 3), (1, 0, 0), (0, 0, 1), [plane((51, 2, 3), (1, 0.5, 0))])
    assert length_left(short.part) == pytest.approx(50 + 0.5 * 30)
    pin = member("pin", pipe(40, 3), 100, (0, 0, 0), (1, 0, 0), (0, 0, 1), [plane((50, 0, 0), (1, 0, 1))])
    assert length_left(pin.part) == pytest.approx(50 + 20)


@pytest.mark.parametrize(
    "spoilt",
    [
        {"section": rect(60, 40.03, 3)}, {"section": rect(60, 40, 3.02)}, {"section": rect(60, 40, 3, 6.1)}, {"cuts": ()},
        {"pose": Pose((1, 2, 3.02), (1, 0, 0), (0, 0, 1))}, {"pose": moved(Pose((1, 2, 3), (1, 0, 0), (0, 0, 1)), place(turn=0.02))},
    ],
)  # fmt: skip
def test_a_few_hundredths_count(spoilt: dict[str, Any]) -> None:
    own = drawn(rect(60, 40, 3))
    assert differences(own, replace(own.part, **spoilt))
    square = replace(own, part=replace(own.part, cuts=()))
    assert differences(square, replace(square.part, length=99.97))


def test_round_parts_are_told_apart_by_their_ends_and_walls() -> None:
    own = drawn(pipe(48.3, 3))
    spun = replace(own.part, pose=replace(own.part.pose, up=(0, 0.6, 0.8)), cuts=())
    assert any("end" in word for word in differences(own, spun))
    assert differences(own, replace(own.part, section=pipe(48.3, 3.2)))
    tilted = replace(own.part.cuts[0], normal=tuple(np.add(own.part.cuts[0].normal, (0.001, 0, 0))))
    assert differences(own, replace(own.part, cuts=(tilted,)))
