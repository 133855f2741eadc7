"""Jobs that one special piece makes possible: with it they are planned, without it the refusal names it and sells it."""

from __future__ import annotations

import pytest

from inventory.items import Carries, Contact, Item, Slide
from solver.sections import Section
from solver.weldment import OpenDimension, Part, Pose, Weldment
from tests import builders as b
from tests.solver.kinds.shop import missed, pieces, planned, upright_vee, vee
from tests.solver.kinds.test_holes import circle, drilled, round_pin

STOP_30 = b.stop("stop-30", face=30)
"""Its peg and those of two side stops 40 apart, each with half its pad on a post 60 wide, are of one lattice."""


def post_on_base(high: float = 110) -> Weldment:
    """A square post in the middle of a base plate that keeps every stop and rest at least 40 mm away from it."""
    return b.weldment(b.plate("base", (140, 140), 10), b.tube("post", 60, 4, high, (70, 70, 10), b.Z))


def stepped(height: float, thickness: float = 10) -> Weldment:
    """Two plates side by side, one on the table, the other `height` above it."""
    return b.weldment(b.plate("low", (100, 100), thickness), b.plate("high", (180, 100), thickness, (110, 0, height)))


# --- arms --------------------------------------------------------------------------------------------------------------

ARMS = b.shelf(
    (STOP_30, 6), (b.down_clamp(), 2), (b.down_clamp("tall-clamp", reach=72, low=60, high=230), 2), (b.riser(), 4), (b.arm(), 3)
)  # fmt: skip


def test_stops_on_arms_on_risers_reach_over_a_base_plate() -> None:
    best = planned(post_on_base(), ARMS).alternatives[0]
    by_id = {p.id: p for p in best.placements}
    reaching = [p for p in best.placements if p.stands_on and by_id[p.stands_on].item == "arm"]
    assert {c.part for p in reaching for c in p.contacts} == {"post"} and len(reaching) == 3
    assert all(by_id[by_id[p.stands_on or ""].stands_on or ""].item == "riser" for p in reaching)


@pytest.mark.slow
def test_without_an_arm_nothing_reaches_over_a_base_plate() -> None:
    assert any(text.startswith("arm: 3 needed, 0 free") for text in missed(post_on_base(), ARMS, "arm"))


def nose() -> Item:
    """A stop whose face is 110 ahead of its peg, high enough to reach over a plate."""
    solids = (b.box(-14, -14, 14, 14, 0, 75), b.box(-14, 14, 14, 110, 60, 75))
    return b._item("nose", "stop", solids, (Contact((0, 110, 67.5), b.Y, 28, 15),))


NOSES = b.shelf((STOP_30, 4), (nose(), 3), (b.down_clamp("short", reach=32), 3), (b.riser(), 2), (b.arm(), 1))


def test_a_clamp_on_an_arm_presses_on_a_part_amid_another() -> None:
    best = planned(post_on_base(70), NOSES).alternatives[0]
    by_id = {p.id: p for p in best.placements}
    (clamp,) = [p for p in best.placements if p.contacts and p.contacts[0].part == "post" and p.item == "short"]
    assert by_id[clamp.stands_on or ""].item == "arm"


@pytest.mark.slow
def test_without_an_arm_no_clamp_reaches_a_part_amid_another() -> None:
    assert "arm: 1 needed, 0 free" in missed(post_on_base(70), NOSES, "arm")


def shelf_over_base() -> Weldment:
    """A base, a post at one end of it and a shelf on the post: the shelf's free end hangs over the base wherever a rest could stand."""
    post = Part("post", Section("flat_bar", width=60, thickness=60), 100, Pose((30, 30, 10), b.Z, b.Y))
    return b.weldment(b.plate("base", (200, 60), 10), post, b.plate("shelf", (180, 60), 10, (0, 0, 110)))


RESTS_OVER = b.shelf(
    (b.stop(height=20), 4), (b.stop("tall", height=120), 4), (b.stop("tall-20", face=20, height=120), 4),
    (b.down_clamp("tall-clamp", low=80, high=230), 2), (b.rest(), 1), (b.riser(), 1), (b.arm(), 1),
)  # fmt: skip


@pytest.mark.slow
def test_a_rest_on_an_arm_carries_what_hangs_over_another_part() -> None:
    """Riser 40, arm 20, rest 50: 110 high, the shelf's underside; 10 mm above the base there is no hole."""
    best = planned(shelf_over_base(), RESTS_OVER).alternatives[0]
    (rest,) = [p for p in best.placements if p.item == "rest"]
    assert best.parts[2].rests_on == ("post", rest.id)
    assert pieces_under(best, "rest") == {("arm", "riser")}


@pytest.mark.slow
def test_without_an_arm_nothing_carries_what_hangs_over_another_part() -> None:
    because = missed(shelf_over_base(), RESTS_OVER, "arm")
    assert "arm: 1 needed, 0 free" in because
    assert any(text.startswith("shelf: supports 110 mm above the table are needed") for text in because)


# --- stacks ------------------------------------------------------------------------------------------------------------


def screw_rest(step: float = 0.5) -> Item:
    """A rest whose head is set to height, 40 to 65 mm."""
    solids = (b.box(-15, -15, 15, 15, 0, 30), b.box(-10, -10, 10, 10, 30, 40, moves=True))
    pad = Contact((0, 0, 40), b.Z, 20, 20, moves=True)
    return b._item("screw-rest", "rest", solids, (pad,), slide=Slide((0, 0, 1), 0, 25, step), set_s=40)


HIGH = (b.stop(height=160), 6), (b.down_clamp(high=180), 2)
SCREWS = b.shelf(*HIGH, (screw_rest(), 3), (b.riser(), 3))


@pytest.mark.parametrize(("height", "risers"), [(57.5, 0), (97.5, 3)])
def test_rests_set_to_height_meet_a_part_alone_and_on_risers(height: float, risers: int) -> None:
    best = planned(stepped(height), SCREWS).alternatives[0]
    rests = [p for p in best.placements if p.item == "screw-rest"]
    assert [p.setting_mm for p in rests] == [17.5] * 3
    assert all(p.contacts[0].at[2] == pytest.approx(height) for p in rests)
    assert sum(p.item == "riser" for p in best.placements) == risers


@pytest.mark.slow
def test_a_height_between_two_increments_is_met_by_no_stack() -> None:
    found = planned(stepped(57.2), SCREWS)
    assert found.status == "infeasible" and found.refused is not None
    assert "reaches it 57.2 mm above the table" in found.refused.because[0].text
    assert planned(stepped(57.2), b.shelf(*HIGH, (screw_rest(step=0), 3))).status == "optimal"


def test_without_the_rest_that_is_set_to_height_it_is_named() -> None:
    assert "screw-rest: 3 needed, 0 free" in missed(stepped(57.5), SCREWS, "screw-rest")


def test_three_pieces_stand_on_each_other_to_a_height() -> None:
    shelf = b.shelf(*HIGH, (b.rest(), 3), (b.riser(), 6))
    best = planned(stepped(130), shelf).alternatives[0]
    assert pieces_under(best, "rest") == {("riser", "riser")}
    assert any(text.startswith("riser: 6 needed, 0 free") for text in missed(stepped(130), shelf, "riser"))


def pieces_under(best: object, item: str) -> set[tuple[str, ...]]:
    """Return what pieces of an item stand on, from the piece itself downwards."""
    by_id = {p.id: p for p in best.placements}  # type: ignore[attr-defined]
    stacks = set()
    for placed in by_id.values():
        below, at = [], placed
        while at.stands_on:
            at = by_id[at.stands_on]
            below.append(at.item)
        if placed.item == item:
            stacks.add(tuple(below))
    return stacks


def test_a_stop_that_carries_serves_as_a_riser_at_its_least_setting() -> None:
    solids = (b.box(-20, -20, 20, 10, 0, 60), b.box(-10, 5, 10, 15, 10, 60, moves=True))
    pad = Contact((0, 15, 35), b.Y, 20, 50, moves=True)
    stop = b._item("carrying", "adjustable_stop", solids, (pad,), slide=Slide((0, 1), 5, 25, 0.5), carries=Carries(60, ((0, 0),)))
    best = planned(stepped(110), b.shelf(*HIGH, (b.rest(), 3), (stop, 3))).alternatives[0]
    assert pieces_under(best, "rest") == {("carrying",)}
    assert {p.setting_mm for p in best.placements if p.item == "carrying"} == {5}


PAIR = b._item(
    "pair", "riser", (b.box(-15, -15, 15, 55, 0, 40),), (), pegs=((0, 0), (0, 1)), carries=Carries(40, ((0, 0), (0, 1)))
)  # fmt: skip
PUSHING = b.shelf((b.stop(height=120), 6), (b.side_clamp(height=15), 2), (b.rest(), 3), (PAIR, 1))


def test_a_clamp_on_two_pegs_stands_on_a_riser_that_offers_two() -> None:
    best = planned(stepped(50, 30), PUSHING).alternatives[0]
    assert pieces_under(best, "push") == {(), ("pair",)}
    assert "pair: 1 needed, 0 free" in missed(stepped(50, 30), PUSHING, "pair")


def test_a_clamp_on_two_pegs_does_not_stand_on_a_riser_that_offers_one() -> None:
    shelf = b.shelf((b.stop(height=120), 6), (b.side_clamp(height=15), 2), (b.rest(), 3), (b.riser(), 2))
    assert planned(stepped(50, 30), shelf).status == "infeasible"


def test_a_clamp_stands_on_a_riser_to_reach_the_top_of_a_tall_part() -> None:
    tall = b.weldment(b.tube(width=150, wall=5, length=300, at=(0, 0, 75)))
    shelf = b.shelf((b.stop(), 8), (b.down_clamp(), 2), (b.down_clamp("long", reach=120), 2), (b.riser(height=60), 1))
    best = planned(tall, shelf).alternatives[0]
    assert {("riser",)} in (pieces_under(best, "clamp"), pieces_under(best, "long"))
    assert "riser: 1 needed, 0 free" in missed(tall, shelf, "riser")


# --- round parts -------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("diameter", "wall"), [(60, 3), (40, None)], ids=["tube", "bar"])
def test_a_round_part_lies_in_v_blocks_and_not_without(diameter: float, wall: float | None) -> None:
    section = Section("round_tube" if wall else "round_bar", diameter=diameter, wall=wall)
    rail = b.weldment(Part("rail", section, 300, Pose((0, 0, diameter / 2), b.X, b.Z)))
    shelf = b.shelf((vee(), 2), (b.stop(height=120), 4), (b.stop("stop-20", face=20, height=120), 4), (b.down_clamp(high=200), 2))
    assert pieces(planned(rail, shelf)).count("vee") == 2
    because = missed(rail, shelf, "vee")
    assert "vee: 2 needed, 0 free" in because
    assert any("bears along a line only: V-blocks" in text for text in because)


@pytest.mark.slow
def test_an_upright_post_stands_in_a_v_block_and_against_one_more_piece() -> None:
    post = b.weldment(Part("post", Section("round_bar", diameter=40), 100, Pose((0, 0, 0), b.Z, b.X)))
    opposite = b.adjustable_stop(travel=40, step=0)
    shelf = b.shelf((upright_vee(), 1), (opposite, 1), (b.down_clamp(reach=80, high=150), 1))
    assert pieces(planned(post, shelf)) == ["adjustable", "clamp", "upright-vee"]
    assert "upright-vee: 1 needed, 0 free" in missed(post, shelf, "upright-vee")


# --- pins and open dimensions ------------------------------------------------------------------------------------------


def test_without_its_pins_a_drilled_plate_is_not_located() -> None:
    plate = drilled(circle(40, 60), circle(160, 60))
    shelf = b.shelf((round_pin("dowel", both=True), 2), (b.down_clamp(), 2))
    assert pieces(planned(plate, shelf)) == ["clamp", "dowel", "dowel"]
    assert "dowel: 2 needed, 0 free" in missed(plate, shelf, "dowel")


def test_without_its_adjustable_stop_an_open_length_is_not_followed() -> None:
    bar = b.weldment(b.bar("bar", 50, 20, 300, (0, 25, 10)), open_dimensions=(OpenDimension("bar", b.X, -5, 5),))
    shelf = b.shelf((b.stop(height=18), 4), (b.adjustable_stop(height=40), 1), (b.down_clamp(), 2))
    assert "adjustable" in pieces(planned(bar, shelf))
    because = missed(bar, shelf, "adjustable")
    assert "adjustable: 1 needed, 0 free" in because
    assert any("its open dimension runs over 10 mm" in text for text in because)
