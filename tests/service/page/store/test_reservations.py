"""Reservations on the page: made, handed out, moved, brought back with broken and missing pieces; who holds what when."""

from __future__ import annotations

from datetime import date, timedelta
from itertools import pairwise
from typing import Any

import pytest

from inventory.availability import Span
from inventory.reservations import Reservation, ReservedLine, State
from service.page.store.time_line import by_item, by_reservation, overdue_days, span_shown
from service.records.database import now
from service.records.job import Job
from service.records.jobs import as_text
from tests.service.documents import samples
from tests.service.http.shop import Shop, day
from tests.service.page.visitor import Seen, Visitor

NEW = "/store/reservations/new"
ORDER = {"job": "hinge posts", "item_1": "riser-75", "pieces_1": "4", "item_2": "stop-60", "pieces_2": "2", "who": "Ute"}


def made(visitor: Visitor, **typed: str) -> Seen:
    fields: dict[str, Any] = {**ORDER, "from": day(0), "to": day(2), **typed}
    return visitor.send(visitor.open(NEW), NEW, **fields)


def take(visitor: Visitor, number: int, step: str, **typed: str) -> Seen:
    """Take a step of a reservation by its form."""
    screen = visitor.open(f"/store/reservations/{number}")
    fields: dict[str, Any] = {"who": "Ute", **typed}
    return visitor.send(screen, f"/store/reservations/{number}/{step}", **fields)


def there(storeroom: Shop, number: int = 1) -> dict[str, object]:
    return dict(storeroom.ask("GET", f"/v1/reservations/{number}").json())


def test_pieces_typed_line_by_line_are_promised(storeroom: Shop, visitor: Visitor) -> None:
    screen = visitor.follow(made(visitor))
    assert "Reservation 1: hinge posts" in screen.words and "reserved" in screen.words
    kept = there(storeroom)
    assert (kept["state"], kept["made_by"]) == ("reserved", "Ute")


def test_what_is_short_is_told_line_by_line_and_nothing_is_promised(storeroom: Shop, visitor: Visitor) -> None:
    storeroom.reserve(0, 3, riser_75=3)
    told = made(visitor)
    assert told.status == 409
    assert "riser 75 mm 4 3 4 from" in told.words, "needed, free, from when enough"
    assert told.forms()[NEW][0].fields["pieces_1"] == ["4"]
    assert storeroom.ask("GET", "/v1/reservations").json()["reservations"][1:] == []


def test_overdue_reservations_expire_before_anybody_is_told_that_pieces_are_short(storeroom: Shop, visitor: Visitor) -> None:
    made(visitor, pieces_1="6", expires=day(-1))
    assert made(visitor, pieces_1="6").leads_to.startswith("/store/reservations/2")
    assert there(storeroom, 1)["state"] == "expired"


@pytest.mark.parametrize(
    ("typed", "fields"),
    [
        ({"job": ""}, ["job"]),
        ({"from": day(2), "to": day(0)}, ["to"]),
        ({"from": ""}, ["from"]),
        ({"pieces_2": ""}, ["pieces_2"]),
        ({"item_2": "riser-75"}, ["item_2"]),
        ({"item_2": "nothing"}, ["item_2"]),
        ({"pieces_1": "0", "pieces_2": "many"}, ["pieces_1", "pieces_2"]),
        ({"item_1": "", "pieces_1": "", "item_2": "", "pieces_2": ""}, ["item_1"]),
        ({"who": ""}, ["who"]),
    ],
)
def test_an_order_that_cannot_be_is_told_at_its_fields(
    storeroom: Shop, visitor: Visitor, typed: dict[str, str], fields: list[str]
) -> None:
    told = made(visitor, **typed)
    assert told.status == 422 and sorted(told.faults()) == fields, told.faults()
    assert storeroom.ask("GET", "/v1/reservations").json()["reservations"] == []


def test_more_lines_are_had_without_losing_any(visitor: Visitor) -> None:
    screen = made(visitor, more="1")
    fields = screen.forms()[NEW][0].fields
    assert fields["item_2"] == ["stop-60"] and "item_8" in fields


def test_a_proposal_is_confirmed_handed_out_and_comes_back_whole(storeroom: Shop, visitor: Visitor) -> None:
    visitor.follow(made(visitor, state="proposed"))
    for step, state in (("confirm", "reserved"), ("hand_out", "on the table"), ("take_back", "returned")):
        screen = visitor.follow(take(visitor, 1, step))
        assert f"the reservation is {state} now" in screen.words
    assert visitor.open("/store/reservations/1").forms() == {}, "its life is over"


def test_a_kit_comes_back_with_one_broken_and_one_missing(storeroom: Shop, visitor: Visitor) -> None:
    made(visitor)
    take(visitor, 1, "hand_out")
    visitor.follow(take(visitor, 1, "take_back", broken_1="1", missing_2="1"))
    assert there(storeroom)["state"] == "returned"
    riser, stop = (storeroom.ask("GET", f"/v1/stock/{id}").json() for id in ("riser-75", "stop-60"))
    assert (riser["count"], riser["out_of_service"], stop["count"]) == (6, 1, 3)


def test_part_of_a_kit_comes_back_and_the_rest_is_still_out(storeroom: Shop, visitor: Visitor) -> None:
    made(visitor)
    take(visitor, 1, "hand_out")
    screen = visitor.follow(take(visitor, 1, "take_back", whole_1="3", rest="out"))
    assert there(storeroom)["state"] == "on_the_table"
    assert "riser 75 mm \u2013 4 3 0 0 1" in screen.words
    nothing = take(visitor, 1, "take_back", rest="out")
    assert nothing.status == 422 and list(nothing.faults()) == ["take_back-rest"]
    many = take(visitor, 1, "take_back", whole_1="2", rest="out")
    assert "1 outstanding" in many.faults()["take_back-whole_1"] or "at most 1" in many.faults()["take_back-whole_1"]


def test_whom_broken_pieces_leave_short_stands_beside_the_kit_that_came_back(storeroom: Shop, visitor: Visitor) -> None:
    made(visitor)
    take(visitor, 1, "hand_out")
    storeroom.reserve(4, 5, riser_75=6)
    screen = visitor.follow(take(visitor, 1, "take_back", broken_1="2"))
    assert "2 short" in screen.words and 'href="/store/reservations/2"' in screen.answer.text


def test_a_reservation_moves_as_far_as_pieces_are_free(storeroom: Shop, visitor: Visitor) -> None:
    made(visitor)
    storeroom.reserve(5, 6, riser_75=3)
    refused = take(visitor, 1, "move", **{"from": day(4), "to": day(6)})
    assert refused.status == 409 and "riser 75 mm 4 3" in refused.words
    visitor.follow(take(visitor, 1, "move", **{"from": day(7), "to": day(9)}))
    assert there(storeroom)["needed"] == {"from": day(7), "to": day(9)}
    assert list(take(visitor, 1, "move", **{"from": day(9), "to": day(7)}).faults()) == ["move-to"]


def test_a_step_upon_what_somebody_else_changed_is_told(storeroom: Shop, visitor: Visitor) -> None:
    made(visitor)
    mine = visitor.open("/store/reservations/1")
    take(visitor, 1, "move", **{"from": day(1), "to": day(2)})
    told = visitor.send(mine, "/store/reservations/1/release", who="Ute")
    assert told.status == 412 and "Somebody else changed it meanwhile" in told.words
    assert there(storeroom)["state"] == "reserved"
    gone = visitor.send(visitor.open("/store/reservations/1"), "/store/reservations/1/release", who="Ute")
    assert visitor.follow(gone).status == 200
    late = visitor.send(mine, "/store/reservations/1/release", who="Ute")
    assert late.status in (409, 412)


def test_a_step_that_its_state_does_not_allow_is_told(storeroom: Shop, visitor: Visitor) -> None:
    made(visitor)
    version = there(storeroom)["version"]
    told = visitor.post("/store/reservations/1/take_back", [("version", str(version)), ("who", "Ute")])
    assert told.status == 409 and "take back is not allowed" in told.words


def test_a_step_by_the_page_s_script_leads_on_or_is_told_in_its_place(visitor: Visitor) -> None:
    made(visitor)
    screen = visitor.open("/store/reservations/1")
    told = visitor.send(screen, "/store/reservations/1/hand_out", part=True)
    assert told.status == 422 and "<html" not in told.answer.text and list(told.faults()) == ["hand_out-who"]
    done = visitor.send(told, "/store/reservations/1/hand_out", part=True, who="Ute")
    assert (done.status, done.leads_to) == (204, "/store/reservations/1?done=2")


@pytest.mark.parametrize(
    ("query", "numbers"),
    [
        ("", [1, 2]), ("?state=all", [1, 2, 3]), ("?state=released", [3]), ("?job=gate", [2]), ("?item=stop-60", [1]),
        (f"?from={day(5)}&to={day(9)}", [2]), ("?rows=item", [1, 2]),
    ],
)  # fmt: skip
def test_reservations_are_looked_for(storeroom: Shop, visitor: Visitor, query: str, numbers: list[int]) -> None:
    made(visitor)
    made(visitor, job="gate", **{"from": day(5), "to": day(6)}, item_2="", pieces_2="")
    made(visitor, item_1="", pieces_1="", pieces_2="1")
    take(visitor, 3, "release")
    screen = visitor.open(f"/store/reservations{query}")
    shown = [number for number in (1, 2, 3) if f'href="/store/reservations/{number}"' in screen.answer.text]
    assert (screen.status, shown) == (200, numbers)


def test_a_plan_that_is_not_there_is_told(visitor: Visitor) -> None:
    screen = visitor.open(f"{NEW}?plan=nothing&rank=1")
    assert screen.status == 422 and "there is no plan nothing" in screen.words


def keep_plan(storeroom: Shop) -> None:
    """Keep a finished plan `p1` of a weldment called gate: a kit of two risers on the third and fourth day from today."""
    plan, (first,) = samples.plan(), samples.plan()["alternatives"]
    plan |= {"alternatives": [{**first, "kit": [{"item": "riser-75", "count": 2, "bin": "A3"}]}], "stock_version": 3}
    request = {"weldment": {"name": "gate"}, "needed": {"from": day(3), "to": day(4)}}
    storeroom.records.add(Job("p1", "queued", now(), as_text(request), name="gate"), None, "", 10)
    storeroom.records.leases.claim()
    storeroom.records.leases.finish("p1", "done", plan)


def test_the_kit_of_a_plan_is_filled_in_and_reserved(storeroom: Shop, visitor: Visitor) -> None:
    keep_plan(storeroom)
    screen = visitor.open(f"{NEW}?plan=p1&rank=1")
    assert "Reserve the kit of gate" in screen.words and "riser 75 mm \u2013 2 6" in screen.words
    (form,) = screen.forms()[NEW]
    assert (form.fields["job"], form.fields["from"], form.fields["to"]) == (["gate"], [day(3)], [day(4)])
    kept = visitor.follow(visitor.send(screen, NEW, who="Ute"))
    assert "plan p1, alternative 1" in kept.words and 'href="/jobs/p1/1"' in kept.answer.text
    assert visitor.open(f"{NEW}?plan=p1&rank=2").status == 422


def test_a_kit_that_is_short_is_seen_before_it_is_asked_for(storeroom: Shop, visitor: Visitor) -> None:
    keep_plan(storeroom)
    storeroom.reserve(3, 3, riser_75=5)
    screen = visitor.open(f"{NEW}?plan=p1&rank=1")
    assert "2 1 too few" in screen.words
    later: dict[str, Any] = {"from": day(5), "to": day(6), "more": "1"}
    assert "too few" not in visitor.send(screen, NEW, **later).words
    refused = visitor.send(screen, NEW, who="Ute")
    assert refused.status == 409 and "riser 75 mm 2 1 2 from" in refused.words


MONDAY = date(2027, 3, 1)


def held(id: int, first: int, last: int, state: State = "reserved", **pieces: int) -> Reservation:
    span = Span(MONDAY + timedelta(days=first), MONDAY + timedelta(days=last))
    lines = tuple(ReservedLine(item, count) for item, count in (pieces or {"riser": 1}).items())
    return Reservation(id, "gate", state, span, lines, "Ute", None)  # type: ignore[arg-type]


def test_a_bar_reaches_from_the_first_day_to_the_end_of_the_last() -> None:
    span = Span(MONDAY, MONDAY + timedelta(days=27))
    line = by_reservation([held(1, 0, 27), held(2, 7, 7), held(3, -5, 40), held(4, 50, 51)], span, MONDAY)
    whole, one, beyond = (row.bars[0] for row in line.rows)
    assert (whole.x, whole.width) == (0, line.width)
    assert one.x == 7 * one.width and not (one.more_before or one.more_after)
    assert (beyond.more_before, beyond.more_after, line.beyond) == (True, True, 1)
    assert line.today == one.width / 2


def test_bars_of_one_item_and_their_words_do_not_run_into_each_other() -> None:
    span = Span(MONDAY, MONDAY + timedelta(days=27))
    line = by_item([held(n, n, n + 3, riser=2) for n in range(6)], {"riser": "Riser"}, span, MONDAY)
    (row,) = line.rows
    assert row.title == "Riser" and all(bar.label_x >= 0 for bar in row.bars)
    below = {bar.y: [one for one in row.bars if one.y == bar.y] for bar in row.bars}
    assert len(below) > 3
    assert all(one.x + one.width <= next.x for lane in below.values() for one, next in pairwise(lane))
    apart = by_item([held(1, 0, 1), held(2, 20, 21)], {}, span, MONDAY)
    assert len({bar.y for bar in apart.rows[0].bars}) == 1


def test_a_kit_that_should_be_back_is_shown_as_out_until_today() -> None:
    out = held(1, -9, -4, "on_the_table")
    assert overdue_days(out, MONDAY) == 4
    assert span_shown([out], MONDAY).first < MONDAY
    line = by_reservation([out], Span(MONDAY - timedelta(days=6), MONDAY + timedelta(days=21)), MONDAY)
    bar = line.rows[0].bars[0]
    assert bar.x == 0 and line.today is not None and bar.width > line.today
