"""Where a part stands is told from the nearer end of what carries it to the face that is nearer."""

from __future__ import annotations

import pytest

from solver.first_article.positions import positions, welded_pairs
from solver.sections import Section
from solver.weldment import Part, Pose, Weldment
from tests import builders as b
from tests.solver.first_article.fixtures_by_hand import finished, frame, post_on_plate, tee, upright_plate


def told(weldment: Weldment) -> dict[str, float]:
    return {one.words: one.nominal_mm for one in positions(finished(weldment), "B")}


def test_from_the_nearer_end_to_the_nearer_side() -> None:
    assert told(tee(at=250)) == {"from the left end of header to the left side of leg": 225}
    assert told(tee(at=450)) == {"from the right end of header to the right side of leg": 125}


def test_each_pair_is_measured_once_however_many_beads_join_it() -> None:
    weldment = frame()
    twice = b.weldment(
        *weldment.parts, welds=[*weldment.welds, b.fillet("again", ("cross-1", "rail-1"), (125, 50, 0), (140, 50, 0))]
    )
    pairs = [(one.id, other.id) for one, other in welded_pairs(finished(twice))]
    assert pairs == [("rail-1", "cross-1"), ("rail-1", "cross-2"), ("rail-2", "cross-1"), ("rail-2", "cross-2")]


def test_what_butts_with_its_end_carries_nothing_however_long_it_is() -> None:
    assert told(tee(leg=900)) == {"from the left end of header to the left side of leg": 225}


def test_a_post_on_a_plate_is_measured_both_ways() -> None:
    assert told(post_on_plate()) == {
        "from the right edge of base to the right side of post": 115,
        "from the near edge of base to the near side of post": 75,
    }


def test_a_plate_across_a_tube_is_measured_to_its_face() -> None:
    weldment = b.weldment(
        b.tube("rail"),
        upright_plate("rib", (40, 60), 8, (120, -20, 50)),
        welds=[b.fillet("w", ("rail", "rib"), (120, -19, 50), (120, 19, 50))],
    )
    assert told(weldment) == {"from the left end of rail to the left face of rib": 120}


def test_a_round_post_is_measured_to_its_skin() -> None:
    post = Part("post", Section("round_tube", diameter=60, wall=3), 200, Pose((150, 100, 10), b.Z, b.Y))
    weldment = b.weldment(
        b.plate("base", (400, 200), 10), post, welds=[b.fillet("w", ("base", "post"), (120, 100, 10), (150, 70, 10))]
    )
    assert list(told(weldment).values()) == pytest.approx([120, 70])


def test_what_is_flush_with_the_end_is_measured_from_the_other_one() -> None:
    assert told(tee(at=25)) == {"from the right end of header to the right side of leg": 550}


def test_what_reaches_over_the_end_is_measured_from_the_end_outwards() -> None:
    tab = b.plate("tab", (100, 80), 8, (-40, -15, 50))
    weldment = b.weldment(b.tube("rail"), tab, welds=[b.fillet("w", ("rail", "tab"), (60, -15, 50), (60, 20, 50))])
    assert told(weldment) == {"from the left end of rail to the left edge of tab": 40}
