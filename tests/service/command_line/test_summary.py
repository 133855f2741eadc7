"""What a plan looks like in a terminal: what a hand must hold is told with the alternative it belongs to."""

from __future__ import annotations

import io
from contextlib import redirect_stdout
from dataclasses import replace

import pytest

from service.command_line.printing.summary import print_plan
from solver.deadline import Deadline
from solver.planning import plan
from solver.plans import Change, LeftOut, Permission, Plan, Purchase, PurchaseLine, Reason, Refused, Relaxation
from tests import builders as b


@pytest.fixture(autouse=True)
def _wide(monkeypatch: pytest.MonkeyPatch) -> None:
    """Lines are not folded, whatever the width of the terminal the tests run in."""
    monkeypatch.delenv("COLUMNS", raising=False)


def printed(answer: Plan, currency: str = "") -> str:
    with redirect_stdout(io.StringIO()) as screen:
        print_plan(answer, currency)
    return screen.getvalue()


def test_what_a_hand_holds_is_told() -> None:
    request = b.request(b.tab_on_tube(), alternatives=1)
    answer = plan(request, b.plain_shelf(), deadline=Deadline(lambda: 30.0))
    best = answer.alternatives[0]
    assert "by hand" not in printed(answer) and "heavy" not in printed(answer)
    tube, tab = best.load
    load = (replace(tube, mass_kg=25.04, heavy=True), replace(tab, hold_by_hand="until p7 is shut"))
    held = replace(answer, alternatives=(replace(best, load=load),))
    lines = [line.strip() for line in printed(held).splitlines()]
    first = lines.index(f"1  {best.title}") + 1
    assert lines[first : first + 2] == [
        "tube: heavy, 25.0 kg: lift it with help",
        "tab: unstable, hold by hand until p7 is shut",
    ]


def test_the_steps_from_what_stands_are_told_in_order() -> None:
    request = b.request(b.tab_on_tube(), alternatives=1)
    best = (answer := plan(request, b.plain_shelf(), deadline=Deadline(lambda: 30.0))).alternatives[0]
    stop = best.placements[0]
    changes = (
        Change("take_off", "p9", "rest", "C7", None, None, None, "no longer needed"),
        Change("add", stop.id, stop.item, None, stop.hole, stop.turn, 12.5, "new side point of tube"),
    )
    lines = printed(replace(answer, alternatives=(replace(best, changes=changes),))).splitlines()
    head = next(number for number, line in enumerate(lines) if line.startswith("step"))
    assert lines[head + 1].split() == ["1", "take", "off", "p9", "rest", "C7", "off", "no", "longer", "needed"]
    assert lines[head + 2].split()[:6] == ["2", "add", stop.id, stop.item, "shelf", stop.hole]
    assert "12.5 mm" in lines[head + 2]
    nothing = printed(replace(answer, alternatives=(replace(best, changes=()),)))
    assert "nothing to change" in nothing and "0 steps from what stands" in nothing


def test_every_kind_of_repair_is_said_with_the_total_it_leads_to() -> None:
    best = plan(b.request(b.tab_on_tube(), alternatives=1), b.plain_shelf(), deadline=Deadline(lambda: 30.0)).alternatives[0]
    then = f": then {best.cost.total_cents / 100:,.2f} in all"
    repairs = (
        Purchase((PurchaseLine("stop-60", 2, 8000), PurchaseLine("riser", 1, 1250)), best),
        Relaxation("clear.weld", 10.0, 7.5, best),
        Permission("tables", "T1", "T2", best),
    )
    refused = Refused((Reason("stock.counted", "stop-60", "stop-60: 4 needed, 2 free"),), repairs)
    answer = Plan("infeasible", "proof", None, None, 0.5, {}, 1, 1, 1, (), refused)
    lines = printed(answer).splitlines()
    assert lines[1:5] == [
        "because: stop-60: 4 needed, 2 free  [stock.counted, stop-60]",
        f"would help: buy 2 x stop-60 for 80.00 and 1 x riser for 12.50{then}",
        f"would help: relax clear.weld from 10.0 to 7.5{then}",
        f"would help: allow tables from T1 to T2{then}",
    ]


def test_what_was_not_tried_is_told_with_what_it_could_save() -> None:
    found = plan(b.request(b.tab_on_tube(), alternatives=1), b.plain_shelf(), deadline=Deadline(lambda: 30.0))
    total = found.alternatives[0].cost.total_cents
    left = tuple(LeftOut("lies", "lies on an edge", cents) for cents in (total - 250, total, None))
    told = [line for line in printed(replace(found, left_out=left), "EUR").splitlines() if line.startswith("not tried")]
    assert told == [
        "not tried: lies on an edge, could save up to 2.50 EUR",
        "not tried: lies on an edge, could save nothing",
        "not tried: lies on an edge, at a price that is not known",
    ]
    nothing = replace(
        found, status="unknown", stopped_by="scope", alternatives=(), left_out=(LeftOut("lies", "lies on an edge", 950),)
    )
    assert "not tried: lies on an edge, at 9.50 or more" in printed(nothing).splitlines()
