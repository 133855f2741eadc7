"""Measured times over HTTP: reported once, listed beside what was predicted, taken back, read from lists, studied. On both databases."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta
from typing import Any

import httpx
import pytest

from service.demo import stock_document
from service.documents import read_stock
from service.stockroom.first_stock import fill_if_empty
from tests.databases import KINDS, new_database
from tests.service.http.shop import Shop
from tests.service.page.comparing.finished import finished, kept_documents

CSV = {"Content-Type": "text/csv"}
SETUP_S, CYCLE_S = (kept_documents("hinge-lug")[1]["alternatives"][0][name] for name in ("setup_s", "cycle_s"))


@pytest.fixture(scope="module", params=KINDS)
def floor(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Shop]:
    """The demo shop, on each kind of database."""
    opened = Shop(new_database(request.param, tmp_path_factory.mktemp("floor")))
    fill_if_empty(opened.store, read_stock(stock_document()))
    yield opened
    opened.store.close()


@pytest.fixture
def plan(floor: Shop) -> str:
    """A finished plan that nothing was reported of yet."""
    return finished(floor.records)


def report(floor: Shop, plan: str, *measured: dict[str, Any], **more: Any) -> httpx.Response:
    headers = more.pop("headers", None)
    return floor.ask("POST", f"/v1/plans/{plan}/measured", {"measured": list(measured), "who": "fitter", **more}, headers=headers)


def faults(answer: httpx.Response) -> list[str]:
    assert answer.status_code == 422, answer.text
    return [each["pointer"] for each in answer.json()["faults"]]


def test_a_report_is_kept_beside_what_the_plan_said(floor: Shop, plan: str) -> None:
    answer = report(
        floor, plan, {"what": "setup", "seconds": 900}, {"what": "cycle", "seconds": 60, "arc_s": 15, "count": 40}, why="new job"
    )
    assert answer.status_code == 201
    setup, cycle = answer.json()["reports"]
    assert (setup["predicted_s"], cycle["predicted_s"]) == (SETUP_S, CYCLE_S)
    assert setup["ratio"] == pytest.approx(900 / SETUP_S, abs=1e-4) and cycle["ratio"] == pytest.approx(45 / CYCLE_S, abs=1e-4)
    assert setup["set_before"] is False and cycle["set_before"] is None and setup["by"] == "fitter"
    assert setup["measured_on"] == date.today().isoformat() and setup["withdrawn"] is None
    listed = floor.ask("GET", f"/v1/plans/{plan}/measured").json()
    assert [each["number"] for each in listed["reports"]] == [cycle["number"], setup["number"]]
    assert listed["setup"]["count"] == 1 and listed["setup"]["miss_s"] == 900 - SETUP_S
    page = floor.ask("GET", f"/v1/measured?plan={plan}&what=cycle&limit=1").json()
    assert [each["number"] for each in page["reports"]] == [cycle["number"]] and page["setup"] is None and page["next"] is None


def test_a_setup_done_before_is_held_beside_its_share(floor: Shop, plan: str) -> None:
    again = report(floor, plan, {"what": "setup", "seconds": 500, "set_before": True}).json()["reports"][0]
    assert again["set_before"] is True and again["predicted_s"] == -(-SETUP_S * 6 // 10)


def test_the_same_report_under_one_key_is_written_once(floor: Shop, plan: str) -> None:
    key = {"Idempotency-Key": f"measured {plan}"}
    first = report(floor, plan, {"what": "setup", "seconds": 700}, headers=key)
    assert report(floor, plan, {"what": "setup", "seconds": 700}, headers=key).json() == first.json()
    assert report(floor, plan, {"what": "setup", "seconds": 701}, headers=key).status_code == 422
    assert len(floor.ask("GET", f"/v1/plans/{plan}/measured").json()["reports"]) == 1


def test_every_fault_of_a_report_is_told_at_its_place(floor: Shop, plan: str) -> None:
    tomorrow = (date.today() + timedelta(days=1)).isoformat()
    wrong = (
        {"what": "setup", "seconds": 900, "arc_s": 5},
        {"what": "cycle", "seconds": 20, "arc_s": 20, "set_before": True},
        {"what": "cycle", "seconds": 20, "measured_on": tomorrow},
    )
    assert faults(report(floor, plan, *wrong)) == [
        "/measured/0/arc_s", "/measured/1/set_before", "/measured/1/arc_s", "/measured/2/measured_on",
    ]  # fmt: skip
    assert faults(report(floor, plan, {"what": "weld", "seconds": 0, "count": 0})) == [
        "/measured/0/what", "/measured/0/seconds", "/measured/0/count",
    ]  # fmt: skip
    assert faults(report(floor, plan, {"what": "setup", "seconds": 60}, rank=99)) == ["/rank"]
    assert faults(report(floor, plan)) == ["/measured"]
    assert report(floor, "nobody", {"what": "setup", "seconds": 60}).status_code == 404
    assert floor.ask("GET", "/v1/plans/nobody/measured").status_code == 404
    assert faults(floor.ask("GET", "/v1/measured?what=weld")) == ["/query/what"]


def test_a_report_that_was_taken_back_stays_and_counts_no_more(floor: Shop, plan: str) -> None:
    one, other = report(floor, plan, {"what": "setup", "seconds": 900}, {"what": "setup", "seconds": 9000}).json()["reports"]
    gone = floor.ask("DELETE", f"/v1/measured/{other['number']}?who=planner&why=a+nought+too+many")
    assert gone.status_code == 200 and gone.json()["withdrawn"]["why"] == "a nought too many"
    again = floor.ask("DELETE", f"/v1/measured/{other['number']}?who=somebody&why=again")
    assert again.json()["withdrawn"] == gone.json()["withdrawn"]
    listed = floor.ask("GET", f"/v1/plans/{plan}/measured").json()
    assert len(listed["reports"]) == 2 and listed["setup"]["count"] == 1
    assert listed["setup"]["ratio"] == pytest.approx(one["seconds"] / SETUP_S, abs=1e-4)
    assert floor.ask("DELETE", "/v1/measured/999999?who=planner").status_code == 404
    assert faults(floor.ask("DELETE", f"/v1/measured/{one['number']}")) == ["/who"]
    assert faults(floor.ask("DELETE", "/v1/measured/x?who=planner")) == ["/path/number"]


def load(floor: Shop, text: str, **query: str) -> httpx.Response:
    return floor.ask("POST", "/v1/measured/import", params={"who": "fitter", **query}, content=text.encode(), headers=CSV)


def test_a_list_is_taken_in_whole_and_once(floor: Shop, plan: str) -> None:
    text = (
        "plan;rank;setup_minutes;set_before;cycle_s;arc_s;pieces;measured_on;note\r\n"
        f"{plan};1;14,5;no;52,5;12;40;2026-01-05;first run\r\n{plan};;9;yes;;;;2026-02-01;\r\n"
    )
    dry = load(floor, text, dry_run="true").json()
    assert dry == {"rows": 2, "written": False, "setups": 2, "cycles": 1, "reports": []}
    kept = load(floor, text).json()
    assert kept["written"] and [each["seconds"] for each in kept["reports"]] == [870.0, 52.5, 540.0]
    assert [each["set_before"] for each in kept["reports"]] == [False, None, True]
    assert faults(load(floor, text)) == ["/rows/2", "/rows/2", "/rows/3"]
    floor.ask("DELETE", f"/v1/measured/{kept['reports'][2]['number']}?who=fitter")
    assert faults(load(floor, text)) == ["/rows/2", "/rows/2"]


def test_every_fault_of_a_list_is_told_by_its_row(floor: Shop, plan: str) -> None:
    assert faults(load(floor, "plan,rank\n")) == ["/rows/1"]
    assert faults(load(floor, "plan,minutes\n")) == ["/rows/1", "/rows/1"]
    text = (
        "plan,rank,setup_minutes,set_before,cycle_s,arc_s,pieces,measured_on\n"
        f"{plan},1,12,maybe,,,,\n{plan},1,,,,,,\n{plan},7,12,,,,,\nnobody,1,12,,,,,\n{plan},1,,,30,31,0,31.12.2026\n"
        f"{plan},1,0,,,,,\n{plan},1,twelve,,,,,\n"
    )
    assert faults(load(floor, text)) == [
        "/rows/2/set_before", "/rows/3", "/rows/6/pieces", "/rows/6/measured_on", "/rows/7/setup_minutes", "/rows/8/setup_minutes",
    ]  # fmt: skip
    text = f"plan,rank,setup_minutes,cycle_s,arc_s\n{plan},7,12,,\nnobody,1,12,,\n{plan},1,,30,31\n"
    assert faults(load(floor, text)) == ["/rows/2/rank", "/rows/3/plan", "/rows/4/arc_s"]
    assert floor.ask("GET", f"/v1/plans/{plan}/measured").json()["reports"] == []


def test_a_proposal_is_made_of_all_that_stand_and_changes_nothing(floor: Shop) -> None:
    before = floor.ask("GET", "/v1/measured/proposal").json()
    assert before["format"] == "holdwright.time-proposal/1" and before["base"] == "default"
    names = ("hinge-lug", "hinge-tab", "mitred-frame", "braced-frame", "post-on-plate", "vee-lug")
    for name in names:
        plan, alternative = finished(floor.records, name), kept_documents(name)[1]["alternatives"][0]
        slower = [{"what": "setup", "seconds": 1.3 * alternative["setup_s"] + k, "set_before": False} for k in (0, 5)] + [
            {"what": "cycle", "seconds": 1.5 * alternative["cycle_s"] + k / 2} for k in (0, 1)
        ]
        assert report(floor, plan, *slower).status_code == 201
    found = floor.ask("GET", "/v1/measured/proposal").json()
    assert found["set"] and set(found["set"]) <= set(found["uncertainty"])
    assert {each["rule"] for each in found["not_identified"]} >= {"time.round_share"}
    for name, sure in found["uncertainty"].items():
        assert sure["low"] <= sure["proposed"] <= sure["high"], name
    setup = found["fit"]["setup"]
    assert setup["after"]["miss_share"] < setup["before"]["miss_share"] and "measured" in found["why"]
    assert floor.ask("GET", "/v1/measured/proposal").json() == found
    changed = floor.ask("POST", "/v1/rules/what-if", {"rules": {"set": found["set"]}})
    assert changed.status_code == 200, changed.text
    new = {"name": "floor", "set": found["set"], "why": found["why"], "who": "fixture engineer"}
    assert floor.ask("POST", "/v1/rules", new).status_code == 201
    after = floor.ask("GET", "/v1/measured/proposal?book=floor").json()
    assert (after["base"], after["base_version"]) == ("floor", 1)
    assert not after["fit"]["setup"]["worthwhile"] and not any(name in after["set"] for name in ("time.walk_s", "time.check_s"))
    assert floor.ask("GET", "/v1/measured/proposal?book=nobody").status_code == 404


def test_all_that_stand_are_drawn(floor: Shop, plan: str) -> None:
    one, other = report(floor, plan, {"what": "setup", "seconds": 900}, {"what": "setup", "seconds": 950}).json()["reports"]
    floor.ask("DELETE", f"/v1/measured/{other['number']}?who=planner&why=wrong")
    drawn = floor.ask("GET", f"/v1/measured/chart?plan={plan}")
    assert drawn.headers["content-type"].startswith("image/svg+xml") and "sandbox" in drawn.headers["content-security-policy"]
    assert f'id="report-{one["number"]}"' in drawn.text and f'id="report-{other["number"]}"' not in drawn.text
