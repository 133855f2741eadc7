"""The nearest legal case beside each refusal: exactly at its limit a rule holds, a little beyond it does not."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from datetime import date
from typing import Any

import numpy as np
import pytest

from inventory.items import Item
from inventory.stock import StockLine, StockSnapshot
from solver.checks import check
from solver.request import Request, Without
from solver.rule_book.book import RuleBook
from tests import builders as b
from tests.solver.checks import tab_job as job
from tests.solver.checks.tab_job import Document, placement


def failed(document: Document, request: Request | None = None, stock: StockSnapshot | None = None) -> set[str]:
    return {finding.rule for finding in check(request or job.request(), stock or job.stock(), document).failed}


def ruled(**changes: float) -> Request:
    return replace(job.request(), rules=RuleBook({name.replace("__", "."): value for name, value in changes.items()}))


BARE = job.plan() | {"rules": {}}


@pytest.mark.parametrize(
    ("rule", "legal", "beyond"),
    [
        # c2's spindle ends 8 mm above the tube and 5 mm beyond its flat, where the corner has dropped by 1.75 mm or less.
        ("clear.body", 8.8, 8.82),
        # c2's spindle ends 47 mm behind w3 and 8 mm above: sqrt(47^2 + 8^2) = 47.676.
        ("clear.weld", 47.67, 47.69),
        # Line of force at y 320, the tube's flat ends at 307.
        ("clamp.over_support", 13, 12.99),
        # 2000 N over 16 x 16 mm = 7.8125 MPa of 235.
        ("clamp.max_part_pressure", 7.82 / 235, 7.80 / 235),
        ("clamp.per_length", 600, 599.9),
        # The tab's way in is 150 + 5 + 5 long.
        ("way.lift", 160, 160.1),
        ("torch.sample", 9.5, 9.49),
        ("tack.pitch", 95, 94.9),
        ("tack.length", 15, 15.1),
        ("way.clear", 10, 10.01),
    ],
)
def test_limits_hold_exactly_where_the_plan_meets_them(rule: str, legal: float, beyond: float) -> None:
    name = rule.replace(".", "__")
    # Locators may come nearer to a weld than 47 mm here; only the clamps are meant.
    assert rule not in failed(BARE, ruled(**{name: legal}))
    assert rule in failed(BARE, ruled(**{name: beyond}))


@pytest.mark.parametrize(("degrees", "rules"), [(15.0, set()), (15.1, {"torch.work_tolerance"})])
def test_work_angle(degrees: float, rules: set[str]) -> None:
    angle = math.radians(45 - degrees)

    def steeper(alternative: Document) -> None:
        alternative["welds"][0]["samples"][2]["torch"] = [-math.sin(angle), 0, -math.cos(angle)]

    assert failed(job.mutated(steeper)) == rules


@pytest.mark.parametrize(("degrees", "rules"), [(15.0, set()), (15.1, {"torch.travel_angle"})])
def test_travel_angle(degrees: float, rules: set[str]) -> None:
    lean = math.radians(degrees)

    def leaning(alternative: Document) -> None:
        torch = math.cos(lean) * np.array([-job.HALF, 0, -job.HALF]) + math.sin(lean) * np.array([0.0, 1, 0])
        alternative["welds"][0]["samples"][2]["torch"] = torch.tolist()

    assert failed(job.mutated(leaning)) == rules


@pytest.mark.parametrize(("low", "rules"), [(-5.0, set()), (-5.1, {"open_dimensions.follow"})])
def test_a_setting_of_20_in_25_follows_5_mm(low: float, rules: set[str]) -> None:
    request = job.request()
    wider = replace(request.weldment.open_dimensions[0], low=low)
    assert failed(job.plan(), replace(request, weldment=replace(request.weldment, open_dimensions=(wider,)))) == rules


def test_the_worst_case_error_of_the_tab_by_hand() -> None:
    # The stop e2 errs by 0.05; the point lies 87.5 mm off its line, the noses 80 mm apart on stacks err by 0.05 + 0.05 each:
    # |1| x 0.05 along x, and the turn of (0.1 + 0.1) / 80 moves the point (295, 265) at 88 mm from (295, 353) by 0.22.
    request = job.request()
    nominal = request.weldment.tolerances[0]
    for plus_minus, holds in ((0.541, True), (0.539, False)):
        tight = replace(nominal, plus_minus=plus_minus)
        changed = replace(request, weldment=replace(request.weldment, tolerances=(tight,)))
        assert (failed(job.plan(), changed) == set()) is holds


@pytest.mark.parametrize(("free", "rules"), [(3, set()), (2, {"stock.counted"})])
def test_stock_is_counted_to_the_piece(free: int, rules: set[str]) -> None:
    assert failed(job.plan(), stock=job.stock(stop=free)) == rules


def test_pieces_out_of_service_reserved_or_without_do_not_count() -> None:
    stock = job.stock()
    for line in (StockLine("rest", 2, out_of_service=1, bin="A1"), StockLine("rest", 2, reserved=1, bin="A1")):
        assert failed(job.plan(), stock=replace(stock, lines={**stock.lines, "rest": line})) == set()
    assert failed(job.plan(), replace(job.request(), without=Without({"rest": 1}))) == {"stock.counted"}
    line = StockLine("rest", 2, out_of_service=1, reserved=1, bin="A1")
    assert failed(job.plan(), stock=replace(stock, lines={**stock.lines, "rest": line})) == {"stock.counted"}


@pytest.mark.parametrize(
    ("line", "held", "without", "rules"),
    [
        (StockLine("rest", 1, reserved=1, bin="A1"), 0, 0, {"stock.counted"}),
        (StockLine("rest", 1, reserved=1, bin="A1"), 1, 0, set()),
        (StockLine("rest", 1, reserved=1, bin="A1"), 1, 1, {"stock.counted"}),
        (StockLine("rest", 1, out_of_service=1, reserved=1, bin="A1"), 1, 0, {"stock.counted"}),
        (StockLine("rest", 1, bin="A1", reserved=2), 1, 0, {"stock.counted"}),
        (StockLine("rest", 0, bin="A1"), 1, 0, {"stock.counted"}),
    ],
)
def test_pieces_promised_to_the_job_itself_count_and_no_others(line: StockLine, held: int, without: int, rules: set[str]) -> None:
    stock = replace(job.stock(), lines={**job.stock().lines, "rest": line})
    request = replace(job.request(), held={"rest": held} if held else {}, without=Without({"rest": without}))
    assert failed(job.plan(), request, stock) == rules


def bought_plan() -> Document:
    """The plan with one rest bought at 30.00."""
    document = job.plan()
    alternative = document["alternatives"][0]
    alternative["cost"] |= {"shortage_cents": 3000, "total_cents": 4832}
    next(line for line in alternative["kit"] if line["item"] == "rest")["buy"] = 1
    return document | {"cost_bound_cents": 4832}


@pytest.mark.parametrize(("today", "rules"), [(24, set()), (25, {"stock.lead_time"})])
def test_a_bought_piece_must_be_there_in_time(today: int, rules: set[str]) -> None:
    stock = job.stock(rest=0)
    late = replace(stock, items={**stock.items, "rest": replace(stock.items["rest"], lead_days=5)})
    days = (date(2027, 3, 1), date(2027, 3, 1))
    request = replace(job.request(), shortage="price", today=date(2027, 2, today), needed=days)
    assert failed(bought_plan(), request, late) == rules
    assert failed(bought_plan(), replace(request, today=None), late) == set()


@pytest.mark.parametrize(("limit", "rules"), [(15.75, set()), (15.70, {"table.max_load"})])
def test_the_table_bears_parts_and_hardware(limit: float, rules: set[str]) -> None:
    # Hand calculation: 60 x 60 x 4 with corners of 8 outside, 4 inside: 8.55 cm2, x 60 cm x 7.85 g = 4.03 kg; tab 0.72 kg; eleven
    # pieces of 1 kg.
    stock = job.stock()
    table = replace(stock.tables["T1"], max_load_kg=limit)
    heavier = replace(stock, tables={"T1": table})
    assert failed(job.plan(), stock=heavier) == rules


@pytest.mark.parametrize(("turns", "rules"), [((0.0, 90.0, 180.0), set()), ("any", set()), ((0.0, 90.0), {"placement.turn"})])
def test_turns_allowed_by_the_item(turns: Any, rules: set[str]) -> None:
    stock = job.stock()
    item = replace(stock.items["adjustable"], turns=turns)
    assert failed(job.plan(), stock=replace(stock, items={**stock.items, "adjustable": item})) == rules


@pytest.mark.parametrize(
    ("limits", "rules"), [((0.0, 20.0, 0.5), set()), ((0.0, 19.5, 0.5), "setting"), ((0.3, 25.0, 0.5), "setting")]
)
def test_settings_at_the_end_of_the_range_and_on_increments(limits: tuple[float, float, float], rules: Any) -> None:
    stock = job.stock()
    item = stock.items["adjustable"]
    assert item.slide is not None
    low, high, step = limits
    changed = replace(item, slide=replace(item.slide, low=low, high=high, step=step))
    request = job.request()
    free = replace(request, weldment=replace(request.weldment, open_dimensions=()))
    wanted = {"placement.setting"} if rules == "setting" else set()
    assert failed(job.plan(), free, replace(stock, items={**stock.items, "adjustable": changed})) == wanted


def test_only_the_turn_asked_for() -> None:
    assert failed(BARE, replace(job.request(), turn=(90.0, 0.0))) == set()
    assert failed(BARE, replace(job.request(), turn=(90.0,))) == {"lie.allowed"}


def test_a_continuous_slide_takes_any_setting() -> None:
    stock = job.stock()
    item = stock.items["adjustable"]
    assert item.slide is not None
    changed = replace(item, slide=replace(item.slide, low=0.3, step=0.0))
    assert failed(job.plan(), stock=replace(stock, items={**stock.items, "adjustable": changed})) == set()


def edge_plan(stop: Item) -> tuple[Document, StockSnapshot]:
    """The plan with a wider foot under the first stop."""
    stock = job.stock()
    changed = replace(stock, items={**stock.items, "stop": stop})
    document = job.plan()
    for id, turn in (("s1", 0), ("s2", 0), ("e1", 270)):
        entry = placement(document["alternatives"][0], id)
        entry["solids"] = job.piece(stop, id, entry["hole"], turn, [], [])["solids"]
    return document, changed


@pytest.mark.parametrize(("reach", "rules"), [(150.0, set()), (150.1, {"clear.table_edge"})])
def test_a_base_sticks_out_by_30_mm_and_no_more(reach: float, rules: set[str]) -> None:
    # e1 stands at x 120 and faces +x: its heel points at the edge x = 0.
    stop = b.stop()
    heel = b.box(-14, -reach, 14, -15, 0, 10)
    document, stock = edge_plan(replace(stop, solids=(*stop.solids, heel)))
    assert failed(document, stock=stock) == rules


def test_what_hangs_over_the_edge_above_the_table_is_no_base() -> None:
    stop = b.stop()
    document, stock = edge_plan(replace(stop, solids=(*stop.solids, b.box(-14, -200, 14, -15, 30, 40))))
    assert failed(document, stock=stock) == set()


@pytest.mark.parametrize(("gap", "rules"), [(0.04, set()), (0.06, {"contacts.patch_in_pad"})])
def test_touching_is_within_five_hundredths(gap: float, rules: set[str]) -> None:
    def short_stop(stock: StockSnapshot) -> StockSnapshot:
        stop = b.stop(face=15 - gap)
        return replace(stock, items={**stock.items, "stop": stop})

    stock = short_stop(job.stock())
    document = job.plan()
    for id, turn in (("s1", 0), ("s2", 0), ("e1", 270)):
        entry = placement(document["alternatives"][0], id)
        entry["solids"] = job.piece(stock.items["stop"], id, entry["hole"], turn, [], [])["solids"]
    assert failed(document, stock=stock) == rules


Change = Callable[[Document], None]


def with_pull(alternative: Document) -> None:
    alternative["unload"]["pull"] = ["e2"]


@pytest.mark.parametrize(
    ("removable", "rules"), [(True, {"cost.cycle_s", "cost.cycle_cents", "cost.total_cents"}), (False, {"unload.pull"})]
)
def test_only_removable_locators_are_pulled_and_pulling_costs(removable: bool, rules: set[str]) -> None:
    stock = job.stock()
    tall = replace(stock.items["tall"], removable=removable, pull_s=4 if removable else 0)
    assert failed(job.mutated(with_pull), stock=replace(stock, items={**stock.items, "tall": tall})) == rules
