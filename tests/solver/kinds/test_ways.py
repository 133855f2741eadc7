"""Ways in and out of whole plans: a piece pulled because that is cheapest, a lift and a slide, an interlock, parts that lock."""

from __future__ import annotations

import copy
from collections.abc import Callable
from dataclasses import replace
from functools import cache
from typing import Any

import pytest

from inventory.items import Contact, Item
from inventory.stock import StockSnapshot
from service.documents import plan_document
from solver.checks import check
from solver.model.families.on_demand.ways import Ways
from solver.plans import Alternative, Plan
from solver.position.problem import Problem
from solver.sections import Section
from solver.weldment import Part, Pose, Weldment
from tests import builders as b
from tests.outside.judge import Judge
from tests.solver.kinds.shop import planned
from tests.solver.laying.test_straight_moves import channel, ring
from tests.solver.model.positions import Fixing, choice, facing, position, those

SECONDS = 120.0
QUANTITY = 10


def stand() -> Weldment:
    """A box on a base, 28 in from its -x edge, and a cap on the box, out over the base's +x edge.

    The box can be located along x from -x only, by a nose over the base; the cap from +x only.
    """
    box = Part("box", Section("rect_tube", width=120, height=80, wall=4), 220, Pose((88, -20, 50), b.Y, b.Z))
    cap = b.plate("cap", (203, 228), 8, (28, 70, 90))
    weld = b.fillet("w", ("box", "cap"), (40, 70, 90), (140, 70, 90), in_fixture="tack")
    return b.weldment(b.plate("base", (200, 260), 10), box, cap, welds=[weld])


def nose(**more: Any) -> Item:
    """A stop that reaches 55 ahead at 60 to 75 high."""
    solids = (b.box(-14, -14, 14, 14, 0, 75), b.box(-10, 14, 10, 55, 60, 75))
    return b._item("nose", "stop", solids, (Contact((0, 55, 67.5), b.Y, 20, 15),), **more)


def shelf(tall: float = 160, **of_the_nose: Any) -> StockSnapshot:
    """Noses over the base, low stops for it, stops `tall` high for the cap."""
    items = [
        (b.stop("low", face=13, height=25), 4), (nose(**of_the_nose), 4), (b.stop("tall", face=22, height=tall), 6),
        (b.stop("mid", face=20, height=60), 4), (b.down_clamp("long", reach=120, high=150), 4),
    ]  # fmt: skip
    return b.shelf(*items)


@cache
def pulled() -> tuple[Plan, StockSnapshot]:
    stock = shelf(removable=True, pull_s=4)
    return planned(stand(), stock, SECONDS, quantity=QUANTITY), stock


def told(alternative: Alternative, rule: str) -> list[str]:
    return [finding.text for finding in alternative.findings if finding.rule == rule]


def judged(found: Plan, weldment: Weldment) -> Alternative:
    """Return the best alternative, looked over by meshes as well."""
    alternative = found.alternatives[0]
    assert list(Judge(b.request(weldment, quantity=QUANTITY, alternatives=1), alternative).faults()) == []
    return alternative


# --- pulled -----------------------------------------------------------------------------------------------------------


def test_the_cheapest_plan_pulls_the_nose_that_hangs_over_the_base() -> None:
    """Up is shut by the nose, +x by the cap's stops, -x by the nose itself, y by the stops of box and base: pulled, it goes up."""
    best = judged(pulled()[0], stand())
    gone = {placement.id: placement for placement in best.placements if placement.id in best.unload.pull}
    assert [placement.item for placement in gone.values()] == ["nose"]
    assert [(move.direction, move.distance) for move in best.unload.moves] == [((0.0, 0.0, 1.0), 150.0)]
    assert all("pulled each cycle" in placement.why for placement in gone.values())
    assert "put it back" in told(best, "unload.pull")[0] and "pulled" in told(best, "way.out")[0]


def test_pulling_is_paid_by_the_second_in_every_cycle() -> None:
    """Three parts at 8 s, unloading 8 s, one clamp at 3 + 3 s, the nose at 4 s: 42 s; 10 cycles at 55.00 an hour: 642 cents."""
    best = pulled()[0].alternatives[0]
    assert (best.cycle_s, best.cost.cycle_cents) == (42, 642)


def test_a_nose_that_takes_longer_to_pull_costs_more() -> None:
    slower = planned(stand(), shelf(removable=True, pull_s=10), SECONDS, quantity=QUANTITY).alternatives[0]
    assert slower.cycle_s == pulled()[0].alternatives[0].cycle_s + 6


@pytest.mark.slow
def test_without_removable_pieces_there_is_no_way_out_and_the_reason_names_the_nose() -> None:
    found = planned(stand(), shelf(), SECONDS, quantity=QUANTITY)
    assert found.status == "infeasible" and found.refused is not None
    reason = next(reason for reason in found.refused.because if reason.rule == "way.out")
    assert "nose stands in the plainest and may not be pulled" in reason.text


@cache
def stand_among_noses() -> Problem:
    return position(b.request(stand(), quantity=QUANTITY), shelf(removable=True, pull_s=4), (13, 0))


def test_only_what_may_be_pulled_and_drawn_is() -> None:
    """Noses only; and the rows let a stand be pulled only where it stands."""
    problem, rows = stand_among_noses(), Fixing(stand_among_noses())
    loose = problem.routes.pullable
    assert loose and {problem.candidates[k].stack.top.id for k in loose} == {"nose"}
    family = rows.on_demand(Ways)
    assert isinstance(family, Ways)
    rows.add([family.rows_of(problem.routes.out)])
    one = min(loose)
    assert rows.allows([one], pulled=[one])
    assert not rows.allows([], others=True, without=[one], pulled=[one])


def test_a_choice_that_shuts_the_weldment_in_may_pull_its_nose() -> None:
    """Up is shut by the nose over the base, +x by the cap's stop, y by stops of box and base: out it goes with the nose pulled."""
    problem, rows = stand_among_noses(), Fixing(stand_among_noses())
    sides = (facing(1, 0, "nose"), facing(-1, 0, "tall"), facing(0, 1, "mid"), facing(0, -1, "mid"))
    shut = [those(problem, side)[1] for side in sides]
    nose, family = shut[0], rows.on_demand(Ways)
    assert list(family.broken(choice(problem, shut, pulled=[nose]))) == []
    assert list(family.broken(choice(problem, shut[1:]))) == []
    assert rows.add(family.broken(choice(problem, shut))) == 1
    assert not rows.allows(shut, pulled=[])
    assert rows.allows(shut, pulled=[nose])
    assert rows.allows(shut[1:], pulled=[])


def test_a_piece_under_a_part_cannot_be_drawn() -> None:
    """A removable rest under a plate stays where it is as long as the plate lies on it."""
    request = b.request(
        b.weldment(b.plate(size=(200, 160), thickness=8, at=(0, 0, 40)), b.bar("foot", 40, 40, 160, (220, 80, 20), b.Y))
    )
    stock = b.shelf((b.rest(height=40, removable=True, pull_s=2), 4), (b.stop(), 8), (b.down_clamp(), 4))
    problem = position(request, stock, (15, 15))
    rests = [k for k, c in enumerate(problem.candidates) if c.stack.top.id == "rest"]
    assert rests
    assert all(problem.candidates[k].stack.pullable and k not in problem.routes.pullable for k in rests)


# --- the checker ------------------------------------------------------------------------------------------------------


def failed(change: Callable[[dict[str, Any]], None], stock: StockSnapshot | None = None) -> set[str]:
    found, shop = pulled()
    document = copy.deepcopy(plan_document(found))
    change(document["alternatives"][0])
    return {
        finding.rule for finding in check(b.request(stand(), quantity=QUANTITY, alternatives=1), stock or shop, document).failed
    }


def test_the_plan_as_it_is_passes() -> None:
    assert failed(lambda alternative: None) == set()


def test_a_way_out_over_a_piece_that_stands_fails() -> None:
    assert failed(lambda alternative: alternative["unload"].update(pull=[])) >= {"way.clear", "cost.cycle_s"}


def test_what_is_not_removable_is_not_pulled() -> None:
    assert failed(lambda alternative: None, shelf(removable=False, pull_s=4)) == {"unload.pull"}


def test_the_price_of_pulling_is_checked() -> None:
    stock = pulled()[1]
    dearer = replace(stock, items={**stock.items, "nose": replace(stock.items["nose"], pull_s=5)})
    assert failed(lambda alternative: None, dearer) == {"cost.cycle_s", "cost.cycle_cents", "cost.total_cents"}


def test_a_way_may_be_made_of_any_straight_moves() -> None:
    """The base's way in cut into shorter moves is the same way; with a lift too low for the stops it strikes them."""

    def cut(alternative: dict[str, Any]) -> None:
        step = next(step for step in alternative["load"] if step["part"] == "base")
        step["moves"] = [
            {"direction": move["direction"], "distance": move["distance"] / 3} for move in step["moves"] for _ in range(3)
        ]

    def too_low(alternative: dict[str, Any]) -> None:
        step = next(step for step in alternative["load"] if step["part"] == "base")
        assert len(step["moves"]) == 3
        step["moves"][2]["distance"] -= 5
        step["moves"][0]["distance"] += 5

    assert failed(cut) == set()
    assert failed(too_low) == {"way.clear"}


# --- lifted and slid --------------------------------------------------------------------------------------------------


def test_the_base_goes_in_over_its_stops_and_under_the_nose() -> None:
    base = next(step for step in pulled()[0].alternatives[0].load if step.part == "base")
    assert [move.direction for move in base.moves] == [(0, 0, -1), (-1, 0, 0), (0, 0, -1)]
    assert base.moves[-1].distance == 27, "stops 25 high, 1 to keep, half a millimetre to spare, in whole millimetres"


def test_a_stand_that_can_be_lifted_over_its_stops_is_slid_out() -> None:
    """Stops 100 high beside a cap at 90 to 98: lifted 27, under the nose with the base, the cap is over them."""
    found = planned(stand(), shelf(tall=100), SECONDS, quantity=QUANTITY)
    best = judged(found, stand())
    assert best.unload.pull == ()
    assert [move.direction for move in best.unload.moves] == [(0, 0, 1), (1, 0, 0), (0, 0, 1)]
    assert told(best, "way.out") == ["leaves: up 27 mm, towards +x 30 mm, up 150 mm"]


# --- the order --------------------------------------------------------------------------------------------------------


def rail_and(bar: Part) -> Weldment:
    return b.weldment(channel(), bar, welds=[b.fillet("w1", ("channel", "bar"), (22, 10, 8), (22, 190, 8), in_fixture="none")])


def channel_shelf() -> StockSnapshot:
    items = [
        (b.stop(height=60), 8), (b.adjustable_stop("slide", travel=40, step=0), 8), (b.stop("low", height=25), 8),
        (b.down_clamp(high=150), 6), (b.down_clamp("long", reach=120, high=150), 4),
    ]  # fmt: skip
    return b.shelf(*items)


def test_an_interlock_is_solved_by_a_slide() -> None:
    """A bar between the flanges of a channel: the channel first, then the bar from the open side, along or in."""
    weldment = rail_and(b.bar("bar", 30, 30, 280, (37, -40, 23), b.Y))
    best = judged(planned(weldment, channel_shelf(), SECONDS, quantity=QUANTITY), weldment)
    assert [step.part for step in best.load] == ["channel", "bar"]
    assert any(abs(move.direction[2]) < 1e-9 for move in best.load[1].moves)
    assert told(best, "way.in")[0].startswith("goes in: down 150 mm")


def test_a_part_that_would_tip_once_slid_in_is_held_by_hand_until_its_clamp_is_shut() -> None:
    """A strip 3 wide and 50 high on edge beside the channel's web: leaned by a tenth of its weight away from it, it falls."""
    strip = Part("bar", Section("flat_bar", width=50, thickness=3), 280, Pose((50.5, -40, 33), b.Y, b.X))
    best = judged(planned(rail_and(strip), channel_shelf(), SECONDS, quantity=QUANTITY), rail_and(strip))
    by_hand = [finding for finding in best.findings if finding.rule == "load.by_hand"]
    assert [step.part for step in best.load] == ["channel", "bar"]
    assert [finding.subject for finding in by_hand] == ["bar"]
    assert any(id in by_hand[0].text for id in best.load[1].then_close)


def test_links_of_a_chain_are_refused_by_name() -> None:
    chain = b.weldment(ring("ring", (0, 0, 50), b.Z), ring("link", (46, 50, 0), b.X), b.plate("foot", (60, 60), 8, (200, 0, 0)))
    found = planned(chain, channel_shelf(), SECONDS)
    assert found.status == "infeasible" and found.refused is not None
    first = found.refused.because[0]
    assert (first.rule, first.subject) == ("load.order", "ring, link")
    assert "ring and link lock each other" in found.refused.because[0].text
    assert "foot" not in found.refused.because[0].text
