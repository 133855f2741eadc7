"""A tape between parallel faces reads their distance, wherever on them it is put."""

from __future__ import annotations

import numpy as np
import pytest

from inventory.shapes import Array
from solver.first_article.tapes import Tape, between, measured
from tests import builders as b
from tests.solver.first_article.fixtures_by_hand import finished, frame, tee

RIGHT, AWAY, UP = np.eye(3)


def tape(weldment: object, one: tuple[str, Array], other: tuple[str, Array]) -> Tape:
    known = finished(weldment)  # type: ignore[arg-type]
    return between(known, known.looking(*one)[0], known.looking(*other)[0])


def test_faces_that_look_at_each_other_are_measured_straight_across() -> None:
    found = tape(frame(), ("rail-1", -AWAY), ("rail-2", AWAY))
    assert (found.length, found.beside) == pytest.approx((500, 0))
    assert found.tool == "tape"


def test_faces_that_look_the_same_way_are_measured_from_end_to_side() -> None:
    found = tape(tee(), ("header", -RIGHT), ("leg", -RIGHT))
    assert found.length == pytest.approx(225) and found.tool == "tape"


def test_faces_far_beside_each_other_need_a_straightedge() -> None:
    low, high = b.plate("low", (100, 50), 8), b.plate("high", (100, 50), 8, (400, 300, 0))
    found = tape(b.weldment(low, high), ("low", -AWAY), ("high", AWAY))
    assert found.length == pytest.approx(350) and found.tool == "tape and straightedge"


def test_where_nothing_is_known_of_the_motions_the_length_is() -> None:
    known = finished(tee())
    blind = type(known)(known.scene, ())
    found = measured(blind, "position", between(blind, blind.looking("header", -RIGHT)[0], blind.looking("leg", -RIGHT)[0]), "B")
    assert (found.nominal_mm, found.worst_mm, found.rss_mm) == (225, None, None)


def test_a_length_has_the_general_tolerance_of_its_class() -> None:
    known = finished(frame())
    ends = known.looking("rail-1", -AWAY)[0], known.looking("rail-2", AWAY)[0]
    found = [measured(known, "overall", between(known, *ends), tolerance_class) for tolerance_class in ("B", "C")]
    assert [one.plus_minus_mm for one in found] == [3, 6]
    assert found[1].tolerance_source == "ISO 13920 class C, table 1"
