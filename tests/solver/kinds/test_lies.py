"""Every section on each of its sides, standing up, and plates on edge: the planner's answer passes the checker."""

from __future__ import annotations

import pytest

from inventory.items import Contact, Item
from inventory.stock import StockSnapshot
from solver.request import Down
from solver.sections import Section
from solver.weldment import Part, Pose, Weldment
from tests import builders as b
from tests.solver.kinds.shop import full_shelf, impossible, missed, pieces, planned

LENGTH = 300.0
SECTIONS = {
    "angle": Section("angle", leg_a=60, leg_b=40, thickness=5),
    "channel": Section("channel", height=80, flange=45, web=6, flange_thickness=8),
    "flat": Section("flat_bar", width=50, thickness=10),
    "rect": Section("rect_tube", width=60, height=40, wall=4),
    "square": Section("square_tube", width=60, wall=3),
    "round bar": Section("round_bar", diameter=40),
    "round tube": Section("round_tube", diameter=60, wall=3),
}
LYING = ("angle", "channel", "flat", "rect", "square")
SHELF = full_shelf((b.adjustable_stop("tall-adjustable", height=200), 6), without=("push", "riser", "riser-60", "nose", "rest"))


def lying(shape: str) -> Part:
    """A part along x as drawn, its section's v upright."""
    return Part(shape, SECTIONS[shape], LENGTH, Pose((0, 0, 0), b.X, b.Z))


LIES: tuple[tuple[str, Down], ...] = (
    ("angle", "-z"), ("angle", "+z"), ("angle", "-y"), ("channel", "+y"), ("flat", "+y"), ("rect", "-y"), ("square", "-z"),
)  # fmt: skip
"""Every section, and every side of one."""
DOWN: tuple[Down, ...] = ("-z", "+z", "-y", "+y")
# on the tip of an angle's longer leg the shorter one hangs 55 mm up, where no rest of this shelf reaches
MORE_LIES = [(shape, down) for shape in LYING for down in DOWN if (shape, down) not in (*LIES, ("angle", "+y"))]


@pytest.mark.slow
@pytest.mark.parametrize(("shape", "down"), LIES)
def test_a_section_lies_on_its_long_sides(shape: str, down: Down) -> None:
    lies(shape, down)


@pytest.mark.slow
@pytest.mark.parametrize(("shape", "down"), MORE_LIES)
def test_a_section_lies_on_its_other_long_sides(shape: str, down: Down) -> None:
    lies(shape, down)


def lies(shape: str, down: Down) -> None:
    """The section is planned on that side, on the table or, an angle on the tip of its shorter leg, with a rest under it."""
    found = planned(b.weldment(lying(shape)), SHELF, down=(down,))
    best = found.alternatives[0]
    assert best.down == down
    drop = {"-z": (2, -1), "+z": (2, 1), "-y": (1, -1), "+y": (1, 1)}[down]
    axis, sign = drop
    assert best.weldment_to_table[2][axis] == -sign, "that side of the weldment faces the table"
    assert ("rest-35" in pieces(found)) == ((shape, down) == ("angle", "+z"))


STANDING = [(shape, ("+x", "-x")[k % 2]) for k, shape in enumerate(shape for shape in SECTIONS if shape != "flat")]
OTHER_ENDS = [(shape, "-x" if down == "+x" else "+x") for shape, down in STANDING]
LONGEST = ("round tube", "-x")


@pytest.mark.parametrize(("shape", "down"), [case for case in STANDING if case != LONGEST])
def test_a_section_stands_on_an_end(shape: str, down: str) -> None:
    stands(shape, down)


@pytest.mark.slow
@pytest.mark.parametrize(("shape", "down"), [*OTHER_ENDS, LONGEST])
def test_a_section_stands_on_its_other_end_too(shape: str, down: str) -> None:
    stands(shape, down)


def stands(shape: str, down: str) -> None:
    """The section is planned on that end, upright on the table under a tall clamp."""
    found = planned(b.weldment(lying(shape)), SHELF, down=(down,))
    best = found.alternatives[0]
    assert best.weldment_to_table[2][0] == (-1 if down == "+x" else 1)
    assert best.parts[0].rests_on == ("table",)
    assert "tall-clamp" in pieces(found) or "tall-long-clamp" in pieces(found)


TALL = b.shelf(
    (b.stop("tall-stop", height=200), 6), (b.adjustable_stop("tall-adjustable", height=200), 6),
    (b.down_clamp("tall-clamp", low=100, high=330), 2), (b.down_clamp("tall-long-clamp", reach=120, low=100, high=330), 2),
)  # fmt: skip


@pytest.mark.parametrize("stock", [TALL, pytest.param(SHELF, marks=pytest.mark.slow)], ids=["tall pieces", "the whole shelf"])
def test_on_a_standing_flat_bar_two_stops_find_no_room_to_bear(stock: StockSnapshot) -> None:
    """Its long side is 50 wide; stops 80 wide side by side have 10 mm of it each, or stand at its 10 mm edge."""
    assert planned(b.weldment(lying("flat")), stock, down=("+x",)).status == "infeasible"


@pytest.mark.slow
@pytest.mark.parametrize("bare", [{"locate.pad_share": 0.2}, {"locate.side_face_ratio": 0.0, "locate.pad_share": 0.2}])
def test_on_a_standing_flat_bar_two_stops_stand_if_they_may_bear_less(bare: dict[str, float]) -> None:
    assert planned(b.weldment(lying("flat")), SHELF, down=("+x",), rules=bare).alternatives


def test_a_plate_stands_on_edge() -> None:
    outline = ((0.0, 0.0), (200.0, 0.0), (200.0, 120.0), (0.0, 120.0))
    plate = Part("plate", Section("plate", plate_outline=outline), 10, Pose((0, 0, 0), b.Y, b.Z))
    found = planned(b.weldment(plate), SHELF)
    assert found.status == "optimal"
    assert found.alternatives[0].parts[0].rests_on == ("table",)


@pytest.mark.parametrize("shape", ["round bar", "round tube"])
def test_a_round_part_does_not_lie_on_its_line_alone(shape: str) -> None:
    held = Part(shape, SECTIONS[shape], LENGTH, Pose((0, 0, 0), b.X, b.Z))
    shelf = b.shelf((b.stop(), 8), (b.stop("stop-20", face=20), 8), (b.down_clamp(), 4), (b.down_clamp("long", reach=120), 4))
    assert planned(b.weldment(held), shelf).status == "infeasible"


# --- all six sides in one request ---------------------------------------------------------------------------------------

SIDES: tuple[Down, ...] = ("-y", "+y", "-z", "+z", "-x", "+x")
UPRIGHT = b.shelf(
    (b.stop(), 6), (b.stop("stop-20", face=20), 6), (b.down_clamp(), 2), (b.down_clamp("tall-clamp", low=100, high=330), 2),
    (b.down_clamp("tall-long-clamp", reach=120, low=100, high=330), 2),
)  # fmt: skip


@pytest.mark.slow
def test_the_cheapest_of_six_sides_is_the_cheapest_of_six_requests() -> None:
    """Two plates on each other, one narrower: on +y it would hang in the air, on -y each needs its own clamp."""
    pair = b.weldment(b.plate("a", (150, 120), 20), b.plate("b", (150, 100), 20, (0, 0, 20)))
    each = {side: planned(pair, UPRIGHT, down=(side,)) for side in SIDES}
    prices: dict[str, int] = {side: found.alternatives[0].cost.total_cents for side, found in each.items() if found.alternatives}
    assert set(SIDES) - set(prices) == {"+y"} and len(set(prices.values())) > 1 and prices["-y"] > min(prices.values())
    best = planned(pair, UPRIGHT, down=SIDES).alternatives[0]
    assert best.cost.total_cents == min(prices.values()) == prices[best.down]


# --- raised off the table -----------------------------------------------------------------------------------------------


def high_nose(reach: float) -> Item:
    """A stop that meets nothing lower than 60 above the table."""
    solids = (b.box(-14, -14, 14, 14, 0, 75), b.box(-10, 14, 10, reach, 60, 75))
    return b._item("high-nose", "stop", solids, (Contact((0, reach, 67.5), b.Y, 20, 15),))


@pytest.mark.parametrize(
    ("flat", "reach"), [(b.weldment(b.plate("flat", (240, 160), 8)), 55), (b.weldment(b.bar("flat", 50, 10, 300)), 35)]
)
def test_a_flat_that_no_stop_meets_on_the_table_lies_on_rests_alone(flat: Weldment, reach: float) -> None:
    clamps = [(b.down_clamp(), 2), (b.down_clamp("long", reach=120), 2)]
    best = planned(flat, b.shelf((high_nose(reach), 4), (b.rest(height=60), 4), *clamps)).alternatives[0]
    rests = [p for p in best.placements if p.item == "rest"]
    assert len(rests) == 3 and set(best.parts[0].rests_on) == {p.id for p in rests}
    assert best.weldment_to_table[2][3] == pytest.approx(60 - lowest(flat))
    assert impossible(flat, b.shelf((high_nose(reach), 4), *clamps))


def lowest(flat: Weldment) -> float:
    """Return how high the lowest point of a flat lies as drawn."""
    part = flat.parts[0]
    return part.pose.at[2] - (part.section.thickness or 0) / 2 if part.section.shape == "flat_bar" else part.pose.at[2]


def welded_below() -> Weldment:
    """A plate on a smaller one, welded from below where it hangs over."""
    plates = b.plate("under", (150, 120), 20), b.plate("over", (150, 160), 20, (0, -40, 20))
    return b.weldment(*plates, welds=[b.fillet("below", ("under", "over"), (20, 0, 20), (130, 0, 20))])


def high_shelf(rest: float) -> StockSnapshot:
    """Three rests of one height, and stops and clamps for what lies on them."""
    clamps = [(b.down_clamp(low=100, high=230), 2), (b.down_clamp("long", reach=120, low=100, high=230), 2)]
    return b.shelf((b.stop(height=200), 4), (b.rest(height=rest), 3), *clamps)


def test_a_weld_that_the_table_shuts_in_is_reached_with_the_weldment_on_rests() -> None:
    best = planned(welded_below(), high_shelf(140)).alternatives[0]
    assert best.weldment_to_table[2][3] == pytest.approx(140)
    assert set(best.parts[0].rests_on) == {p.id for p in best.placements if p.item == "rest"}
    assert all(torch[2] > 0 for _, torch in best.welds[0].samples), "from below"


@pytest.mark.slow
def test_without_rests_high_enough_the_weld_and_the_rests_are_named() -> None:
    """Hand calculation: 30 deg below level and 15 deg along the bead the hand ends 230 x 0.484 + 35 = 146 mm below it, 20 mm up."""
    because = missed(welded_below(), high_shelf(140), "rest")
    assert "at 12 of 12 samples the table leaves torch and hand no room" in because[0] and "126.4 mm higher" in because[0]
    assert "rest: 3 needed, 0 free" in because
    found = planned(welded_below(), high_shelf(100))
    assert found.refused is not None
    assert [(reason.rule, reason.subject) for reason in found.refused.because] == [("torch.table", "below")]
