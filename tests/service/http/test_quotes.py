"""Quotes over HTTP: prices from few plans, as a document, as events, as lines and as CSV; faults, keys, limits, ends."""

from __future__ import annotations

import json
import time
from typing import Any

import pytest

from tests.service.asked import asked
from tests.service.http.conftest import House
from tests.service.planners import KITS, priced_total

LINES = (1, 2, 20, 43, 44, 60, 200, 5000)


def inquiry(*names: str, quantities: tuple[int, ...] = LINES, **more: Any) -> dict[str, Any]:
    lines = [{"request": name, "quantity": each} for each in quantities for name in names]
    return {"format": "holdwright.inquiry/1", "requests": {name: asked(name) for name in names}, "lines": lines, **more}


def quoted(house: House, body: dict[str, Any], **headers: str) -> dict[str, Any]:
    taken = house.call("POST", "/v1/quotes", json=body, headers={"Prefer": "wait=20", **headers})
    assert taken.status_code == 200, taken.text
    job: dict[str, Any] = taken.json()
    assert (job["state"], job["lines_told"]) == ("done", job["lines"])
    return job


def test_lines_are_the_cheapest_kit_and_few_plans_are_made(house: House) -> None:
    job = quoted(house, inquiry("priced", name="spring"))
    for line in job["quote"]["lines"]:
        assert line["total_cents"] == min(priced_total(line["quantity"], kit) for kit in KITS)
        assert (line["status"], line["gap"]) == ("optimal", 0.0)
    (request,) = job["quote"]["requests"]
    assert [(kit["once_cents"], kit["cycle_s"]) for kit in request["kits"]] == [*KITS]
    assert request["plans"] <= 7
    assert request["break_even"]["proved"] is True


def test_a_line_names_a_plan_that_can_be_opened_and_is_not_listed(house: House) -> None:
    line = quoted(house, inquiry("priced"))["quote"]["lines"][0]
    plan = house.call("GET", f"/v1/plans/{line['plan']['id']}").json()
    assert plan["plan"]["alternatives"][0]["cost"]["total_cents"] == line["total_cents"]
    assert line["plan"]["id"] not in {job["id"] for job in house.call("GET", "/v1/plans?limit=200").json()["jobs"]}


def test_break_even_is_where_the_prices_cross(house: House) -> None:
    """Two parts by hand: 2 x (8 + 90) + 8 = 204 s at 55.00 an hour, 2 % spoiled; a dedicated fixture: 1.5 h and 40.00."""
    even = quoted(house, inquiry("priced"))["quote"]["requests"][0]["break_even"]
    fixture = {q: min(priced_total(q, kit) for kit in KITS) for q in range(1, 60)}
    by_hand = {q: int(q * 204 * 5500 / 3600 / 0.98 + 0.5) for q in fixture}
    assert even["by_hand_from"] == next(q for q in fixture if fixture[q] <= by_hand[q])
    assert even["dedicated_up_to"] == "always"  # the dearest kit costs 21.00 once, less than 122.50


def test_followed_by_events_by_lines_and_as_csv(house: House) -> None:
    job = quoted(house, inquiry("priced one", "priced two", quantities=(3, 300)))
    address = f"/v1/quotes/{job['id']}"
    events = house.call("GET", f"{address}/events").text.split("\n\n")
    heads = [event.split("\n")[:2] for event in events if event]
    assert heads == [["event: lines", "id: 1"], ["event: lines", "id: 2"], ["event: end", 'data: {"state":"done"}']]
    assert "id: 1" not in house.call("GET", f"{address}/events", headers={"Last-Event-ID": "1"}).text
    lines = [json.loads(text) for text in house.call("GET", f"{address}/lines").text.splitlines()]
    assert sorted(lines, key=lambda line: line["line"]) == job["quote"]["lines"]
    heading, *rows = house.call("GET", f"{address}/csv").content.decode("utf-8-sig").splitlines()
    assert heading.startswith("line,name") and len(rows) == 4


def test_prices_are_drawn_over_quantity(house: House) -> None:
    address = f"/v1/quotes/{quoted(house, inquiry('priced'))['id']}"
    drawn = house.call("GET", f"{address}/curves/1")
    assert drawn.headers["content-type"] == "image/svg+xml" and "marked out by hand" in drawn.text
    assert house.call("GET", f"{address}/curves/2").status_code == 404
    assert house.call("GET", "/v1/quotes/none").status_code == 404


def test_csv_names_plans(house: House) -> None:
    plan = house.ask("priced", wait=10, quantity=3).json()["id"]
    rows = f"weldment;quantity;name\n{plan};12;first\n{plan};4000;\n".encode()
    taken = house.call("POST", "/v1/quotes", content=rows, headers={"Content-Type": "text/csv", "Prefer": "wait=20"})
    lines = taken.json()["quote"]["lines"]
    assert [line["total_cents"] for line in lines] == [min(priced_total(q, kit) for kit in KITS) for q in (12, 4000)]
    assert (lines[0]["name"], lines[0]["request"]) == ("first", plan)
    rows += b"nothing;0;\nnothing;5;\n"
    refused = house.call("POST", "/v1/quotes", content=rows, headers={"Content-Type": "text/csv"})
    assert refused.status_code == 422
    assert refused.json()["faults"][0]["pointer"] == "/rows/4/quantity"
    refused = house.call("POST", "/v1/quotes", content=rows.replace(b"nothing;0;\n", b""), headers={"Content-Type": "text/csv"})
    assert [fault["pointer"] for fault in refused.json()["faults"]] == ["/rows/4/weldment"]


def test_the_same_key_gives_the_same_quote(house: House) -> None:
    first = quoted(house, inquiry("priced"), **{"Idempotency-Key": "q-1"})
    assert quoted(house, inquiry("priced"), **{"Idempotency-Key": "q-1"})["id"] == first["id"]
    other = house.call("POST", "/v1/quotes", json=inquiry("priced two"), headers={"Idempotency-Key": "q-1"})
    assert (other.status_code, other.json()["type"]) == (422, "/v1/problems/key-reused")


def test_what_was_planned_before_is_not_planned_again(house: House) -> None:
    before = quoted(house, inquiry("priced slowly"))
    began = time.monotonic()
    again = quoted(house, inquiry("priced slowly"))
    assert [line["plan"] for line in again["quote"]["lines"]] == [line["plan"] for line in before["quote"]["lines"]]
    assert time.monotonic() - began < 5 and again["quote"]["requests"][0]["plans"] == before["quote"]["requests"][0]["plans"]


def test_a_price_at_once_says_how_far_it_may_be_off(house: House) -> None:
    at_once = quoted(house, inquiry("priced seldom", price_only=True))["quote"]
    assert at_once["requests"][0]["plans"] == 1
    for line in at_once["lines"]:
        least = min(priced_total(line["quantity"], kit) for kit in KITS)
        assert line["bound_cents"] <= least <= line["total_cents"]
        assert line["gap"] == pytest.approx((line["total_cents"] - line["bound_cents"]) / line["total_cents"])
    assert any(line["gap"] > 0 for line in at_once["lines"])
    known = quoted(house, inquiry("priced seldom"))["quote"]
    better = quoted(house, inquiry("priced seldom", price_only=True))["quote"]
    assert [line["total_cents"] for line in better["lines"]] == [line["total_cents"] for line in known["lines"]]


def test_a_weldment_that_cannot_be_held_and_one_that_has_no_price(house: House) -> None:
    quote = quoted(house, inquiry("helped", "refused", "dies", "plain", "priced", quantities=(3, 30)))["quote"]
    by_name = {line["request"]: line for line in quote["lines"] if line["quantity"] == 30}
    assert by_name["helped"]["status"] == by_name["refused"]["status"] == "infeasible"
    assert "2 free" in by_name["refused"]["because"][0] and by_name["refused"]["short"] is None
    assert "a plan it needs failed" in by_name["dies"]["because"][0] and by_name["dies"]["lot_cents"] is None
    assert "ValueError" in by_name["plain"]["because"][0]  # its price is no line over quantity: the planner's mistake
    assert by_name["priced"]["status"] == "optimal"


def test_a_quote_that_is_ended_keeps_what_is_known(house: House) -> None:
    body = inquiry("priced", "slow", quantities=(3, 30))
    body["requests"]["slow"]["time_limit_s"] = 50
    taken = house.call("POST", "/v1/quotes", json=body)
    assert taken.status_code == 202
    address = taken.headers["location"]
    ends = time.monotonic() + 20
    while (job := house.call("GET", address).json())["lines_told"] < 2:
        assert time.monotonic() < ends, job
    ended = house.call("DELETE", address).json()
    assert (ended["state"], ended["lines_told"]) == ("cancelled", 4)
    by_name = {line["request"]: line for line in ended["quote"]["lines"] if line["quantity"] == 30}
    assert by_name["priced"]["status"] == "optimal" and by_name["slow"]["lot_cents"] is None
    assert house.call("DELETE", address).json() == ended


def test_faults_are_named_and_bodies_have_a_limit_of_their_own(house: House) -> None:
    body = inquiry("priced")
    body["lines"][0]["quantity"] = 0
    refused = house.call("POST", "/v1/quotes", json=body)
    assert (refused.status_code, [fault["pointer"] for fault in refused.json()["faults"]]) == (422, ["/lines/0/quantity"])
    assert house.call("POST", "/v1/quotes", content=b"{", headers={"Content-Type": "application/json"}).status_code == 400
    headers = {"Content-Type": "application/json"}
    large = json.dumps(inquiry("priced", quantities=(7,))).encode() + b" " * 2_000_000
    taken = house.call("POST", "/v1/quotes", content=large, headers=headers)
    assert taken.status_code == 202 and taken.json()["lines"] == 1
    assert house.call("POST", "/v1/quotes", content=b" " * 20_000_001, headers=headers).status_code == 413
