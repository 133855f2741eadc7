"""Outer bodies: hardware, torch and table keep clear of them, nothing holds them, and the checker sees to all of it by itself."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from inventory.shapes import Point3, as_matrix
from solver.checks import check_alternative
from solver.deadline import Deadline
from solver.drafting.mirrored import mirrored
from solver.planning import plan
from solver.plans import Alternative, Move, PartContact, Plan
from solver.request import Request
from solver.weldment import Part, Weld, Weldment
from tests import builders as b

BESIDE = b.body(at=(90, 30, 30), size=(70, 60, 40))
"""A casting beside the tube, where a stop would stand."""
OUTSIDE = Weld("w3", ("tube", "casting"), ((100, 25, 50), (150, 25, 50)), "fillet", leg=4, in_fixture="none")


def on_tube(*bodies: Part, welds: tuple[Weld, ...] = ()) -> Weldment:
    """A tab on a tube with something beside it."""
    drawn = b.tab_on_tube()
    return b.weldment(*drawn.parts, *bodies, welds=[*drawn.welds, *welds], name=drawn.name)


def asked(*bodies: Part, welds: tuple[Weld, ...] = (), **more: Any) -> Request:
    return b.request(on_tube(*bodies, welds=welds), alternatives=1, **more)


def planned(request: Request) -> Plan:
    return plan(request, b.plain_shelf(), deadline=Deadline(lambda: 60.0))


@pytest.fixture(scope="module")
def held() -> tuple[Request, Alternative]:
    """The tab on a tube with a casting beside it, and the cheapest fixture."""
    request = asked(BESIDE, welds=(OUTSIDE,))
    found = planned(request)
    assert found.status == "optimal"
    return request, found.alternatives[0]


def failed(request: Request, alternative: Alternative, stock: object = None) -> set[tuple[str, str]]:
    findings = check_alternative(request, stock or b.plain_shelf(), alternative)  # type: ignore[arg-type]
    return {(finding.rule, finding.subject) for finding in findings if not finding.ok}


def moved(request: Request, alternative: Alternative, to: Point3) -> tuple[Request, Alternative]:
    """The same fixture with the casting drawn elsewhere."""
    casting = replace(BESIDE, pose=replace(BESIDE.pose, at=to))
    weldment = replace(request.weldment, parts=(*request.weldment.parts[:2], casting))
    frame = np.array(alternative.weldment_to_table) @ casting.pose.frame()
    solid = replace(alternative.parts[2].solids[0], frame=as_matrix(frame))
    parts = (*alternative.parts[:2], replace(alternative.parts[2], solids=(solid,)))
    return replace(request, weldment=weldment), replace(alternative, parts=parts)


def test_an_outer_body_goes_in_last_and_is_held_by_hand(held: tuple[Request, Alternative]) -> None:
    request, found = held
    assert failed(request, found) == set()
    assert [step.part for step in found.load] == ["tube", "tab", "casting"]
    casting = found.load[2]
    assert (casting.hold_by_hand or "").startswith("as long as it is in the fixture") and casting.mass_kg == pytest.approx(
        1.319, abs=1e-3
    )
    assert found.unload.mass_kg == pytest.approx(sum(step.mass_kg or 0.0 for step in found.load), abs=2e-3)
    assert [part.rests_on for part in found.parts if part.id == "casting"] == [()]
    assert not any("casting" in (contact.part for contact in piece.contacts) for piece in found.placements)
    (said,) = [finding for finding in found.findings if finding.subject == "casting"]
    assert said.rule == "load.by_hand" and "does not locate, clamp or hold it" in said.text
    assert [weld.id for weld in found.welds] == ["w1", "w2"] and not any("w3" in finding.subject for finding in found.findings)


def test_it_costs_what_a_part_costs_to_load_and_to_check(held: tuple[Request, Alternative]) -> None:
    request, found = held
    clamps = [item.clamp for piece in found.placements if (item := b.plain_shelf().items[piece.item]).clamp]
    rules, handling = request.rules, sum(clamp.close_s + clamp.open_s for clamp in clamps)
    assert found.cycle_s == math.ceil(3 * rules["time.load_s"] + rules["time.unload_s"] + handling)
    unpaid = replace(found, setup_s=found.setup_s - int(rules["time.check_s"]), cycle_s=found.cycle_s - int(rules["time.load_s"]))
    assert {"cost.setup_s", "cost.cycle_s"} <= {rule for rule, _ in failed(request, unpaid)}


def test_hardware_stands_clear_of_it_and_a_piece_in_its_room_is_seen(held: tuple[Request, Alternative]) -> None:
    request, found = held
    stop = next(piece for piece in found.placements if piece.locates and piece.solids[0].end > 40)
    frame = np.linalg.inv(np.array(found.weldment_to_table)) @ np.array(stop.solids[0].frame)
    at = (float(frame[0, 3]) - 35, float(frame[1, 3]) - 30, 30.0)
    assert ("clear.body", f"{stop.id} casting") in failed(*moved(request, found, at))
    away = moved(request, found, (90, 300, 30))
    assert failed(*away) == set()


def test_it_may_stand_in_parts_but_not_in_the_torch_or_the_table(held: tuple[Request, Alternative]) -> None:
    request, found = held
    inside = moved(request, found, (20, -24, 5))
    assert not {rule for rule, _ in failed(*inside)} & {"fit.overlap", "load.order", "contacts.mates"}
    over = {rule for rule, _ in failed(*moved(request, found, (185, -30, 62)))}
    assert {"torch.free", "hand.free"} & over
    assert ("apart.overlap", "casting") in failed(*moved(request, found, (90, 300, -10)))
    assert failed(*moved(request, found, (90, 300, 0.5))) == set(), "it may lie nearer to the table than moving parts pass"


def first(found: Alternative) -> Alternative:
    return replace(found, load=(found.load[2], *found.load[:2]))


def resting(found: Alternative) -> Alternative:
    return replace(found, parts=(*found.parts[:2], replace(found.parts[2], rests_on=("tube",))))


def carrying(found: Alternative) -> Alternative:
    return replace(found, parts=(replace(found.parts[0], rests_on=("table", "casting")), *found.parts[1:]))


def touched(found: Alternative) -> Alternative:
    piece = next(piece for piece in found.placements if piece.contacts)
    contacts = (*piece.contacts, replace(piece.contacts[0], part="casting", face="side:0"))
    return replace(found, placements=tuple(replace(p, contacts=contacts) if p is piece else p for p in found.placements))


def joined(found: Alternative) -> Alternative:
    patch = ((0.0, 0.0, 0.0), (1.0, 0.0, 0.0), (0.0, 1.0, 0.0))
    return replace(found, part_contacts=(*found.part_contacts, PartContact("tab", "casting", patch, b.Z)))


def unheld(found: Alternative) -> Alternative:
    return replace(found, load=(*found.load[:2], replace(found.load[2], hold_by_hand=None)))


def light(found: Alternative) -> Alternative:
    return replace(found, load=(*found.load[:2], replace(found.load[2], mass_kg=0.1)))


def forgotten(found: Alternative) -> Alternative:
    return replace(found, load=found.load[:2])


def dragged_along_the_tube(found: Alternative) -> Alternative:
    return replace(found, load=(*found.load[:2], replace(found.load[2], moves=(Move((1.0, 0.0, 0.0), 400.0),))))


def welded_there(found: Alternative) -> Alternative:
    return replace(found, welds=(*found.welds, replace(found.welds[0], id="w3")))


SPOILT: dict[Callable[[Alternative], Alternative], str] = {
    first: "load.order", resting: "contacts.rests_on", carrying: "document.references", touched: "document.references",
    joined: "document.references", unheld: "load.by_hand", light: "load.mass", forgotten: "load.order",
    dragged_along_the_tube: "way.clear", welded_there: "document.references",
}  # fmt: skip


@pytest.mark.parametrize("spoil", SPOILT, ids=lambda spoil: spoil.__name__)
def test_a_plan_that_makes_more_of_it_than_room_is_refused(
    held: tuple[Request, Alternative], spoil: Callable[[Alternative], Alternative]
) -> None:
    request, found = held
    assert SPOILT[spoil] in {rule for rule, _ in failed(request, spoil(found))}


def test_its_weight_counts_for_what_the_table_bears(held: tuple[Request, Alternative]) -> None:
    request, found = held
    shelf = b.plain_shelf()
    hardware = sum(shelf.items[piece.item].mass_kg for piece in found.placements)
    for spare, fails in ((0.5, True), (1.5, False)):
        load = hardware + sum(step.mass_kg or 0.0 for step in found.load[:2]) + spare
        weak = replace(shelf, tables={"T1": replace(shelf.tables["T1"], max_load_kg=load)})
        assert (("table.max_load", "T1") in failed(request, found, weak)) == fails


def on_rests(deep: float) -> Plan:
    """A plate with something below it, rests of 100 mm to lie on."""
    clamps = [(b.down_clamp(low=100, high=230), 2), (b.down_clamp("long", reach=120, low=100, high=230), 2)]
    shelf = b.shelf((b.stop(height=200), 4), (b.rest(height=100), 3), *clamps)
    below = b.weldment(b.plate(size=(240, 160), thickness=20), b.body(at=(100, 60, -deep), size=(40, 40, deep)))
    return plan(b.request(below, alternatives=1), shelf, deadline=Deadline(lambda: 60.0))


def test_what_hangs_below_lifts_the_weldment_onto_rests_until_it_may_touch_the_table() -> None:
    (best,) = on_rests(100).alternatives
    assert best.weldment_to_table[2][3] == pytest.approx(100)
    assert sum(piece.item == "rest" for piece in best.placements) == 3
    found = on_rests(100.5)
    assert found.status == "infeasible" and found.refused is not None
    (reason,) = found.refused.because
    assert (reason.rule, reason.subject) == ("clear.table_top", "casting") and "100.5 mm below" in reason.text


def test_a_hull_that_alone_shuts_a_weld_in_is_named() -> None:
    found = planned(asked(b.body(size=(60, 60, 60), at=(180, -30, 30))))
    assert found.status == "infeasible" and found.refused is not None
    text = found.refused.because[0].text
    assert found.refused.because[0].rule == "torch.shut_in" and "without the hull of casting, there is room" in text


def test_a_mirrored_weldment_has_its_outer_bodies_mirrored() -> None:
    drawn = on_tube(BESIDE, welds=(OUTSIDE,))
    other = mirrored(drawn, "x")
    assert other.part("casting").body and mirrored(other, "x").part("casting").drawn.start == 0
    corners = [np.array([*point, 0, 1.0]) for point in other.part("casting").section.outline]
    placed = np.array([other.part("casting").pose.frame() @ corner for corner in corners])
    assert placed[:, 0].min() == pytest.approx(-160) and placed[:, 0].max() == pytest.approx(-90)
