"""The list of jobs and one job on the page: found, followed, stopped, refused in words, asked again."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from typing import Any

import pytest

from service.records.job import Job
from service.records.jobs import JobRecords, as_text
from tests.service.asked import asked
from tests.service.http.conftest import House
from tests.service.page.visitor import Seen, Visitor

PART = {"HX-Request": "true"}


@pytest.fixture
def visitor(house: House) -> Visitor:
    """Somebody at the page of the house."""
    return Visitor(house.call)


def records(house: House) -> JobRecords:
    kept: JobRecords = house.app.state.context.planning.records
    return kept


def kept(house: House, id: str, name: str, **more: Any) -> None:
    """Keep a job as it stands, without anybody to work on it."""
    at = records(house).clock()
    job = Job(id, "done", at, as_text(asked(name)), name=name, finished_at=at)
    records(house).add(replace(job, **more), None, "", 100)


def row(seen: Seen, id: str) -> str:
    """Return the words of one row of the list."""
    found = re.search(rf'<tr[^>]* id="job-{id}".*?</tr>', seen.answer.text, re.DOTALL)
    assert found is not None, seen.words
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", found[0]))


def request_of(house: House, address: str) -> dict[str, Any]:
    """Return the request of the job that a form led to."""
    document: dict[str, Any] = json.loads(records(house).request_of(address.removeprefix("/jobs/")) or "")
    return document


def test_a_job_stands_in_the_list_with_its_figures(house: House, visitor: Visitor) -> None:
    id = house.ask("a rail of its own", wait=20).json()["id"]
    shown = row(visitor.open("/"), id)
    for words in (
        "a rail of its own",
        "300 off, Mon 1 Mar to Wed 3 Mar 2027",
        "optimal",
        "proved the cheapest",
        "9.00",
        "0.0 %",
        "none",
    ):
        assert words in shown, shown


def test_names_are_text_wherever_they_are_shown(house: House, visitor: Visitor) -> None:
    kept(house, "ab" * 8, "<script>alert(1)</script>", state="cancelled")
    for address in ("/", f"/jobs/{'ab' * 8}"):
        text = visitor.open(address).answer.text
        assert "<script>alert" not in text and "&lt;script&gt;alert" in text


def test_jobs_are_found_by_name_state_and_answer(house: House, visitor: Visitor) -> None:
    kept(house, "c1" * 8, "bracket sought", state="cancelled")
    kept(house, "c2" * 8, "bracket too", plan={"status": "infeasible", "alternatives": [], "refused": None})
    assert "bracket sought" in visitor.open("/?name=SOUGHT").words and "bracket too" not in visitor.open("/?name=SOUGHT").words
    assert "bracket too" in visitor.open("/?name=bracket&status=infeasible").words
    whole = visitor.open("/?name=bracket&state=&status=infeasible")
    assert whole.status == 200 and "bracket sought" not in whole.words, "as the form is sent without a script"
    nothing = visitor.open("/?name=nowhere to be found")
    assert "No job fits" in nothing.words and "Show all jobs" in nothing.words


def test_the_pages_script_gets_the_list_alone(house: House, visitor: Visitor) -> None:
    part = visitor.open("/?name=SOUGHT", **PART)
    assert part.answer.text.lstrip().startswith('<div id="jobs">') and "<html" not in part.answer.text
    assert visitor.open("/?state=strange").status == 422


def test_the_list_goes_on_where_a_page_ends(house: House, visitor: Visitor) -> None:
    for k in range(30):
        kept(house, f"{k:016x}", f"leaf {k}", state="cancelled")
    first = visitor.open("/?name=leaf")
    older = re.search(r'href="(/\?name=leaf&amp;cursor=[^"]+)"', first.answer.text)
    assert older is not None and first.answer.text.count('<tr role="row" id="job-') == 25
    second = visitor.open(older[1].replace("&amp;", "&"))
    assert second.answer.text.count('<tr role="row" id="job-') == 5 and 'href="/?name=leaf"' in second.answer.text
    assert visitor.open("/?cursor=strange").status == 422


def test_only_rows_of_open_jobs_are_asked_for_again_until_none_is_open(house: House, visitor: Visitor) -> None:
    kept(house, "d1" * 8, "already there", state="cancelled")
    id = house.ask("slow", time_limit_s=30).json()["id"]
    house.until(id, "running")
    text = visitor.open("/").answer.text
    asked_for = re.search(r'hx-get="/jobs/rows\?of=([^"]*)" hx-trigger="every 3s"', text)
    assert asked_for is not None and id in asked_for[1] and "d1" * 8 not in asked_for[1]
    running = visitor.open(f"/jobs/rows?of={id}", **PART)
    assert "is being planned" in running.words and "every 3s" in running.answer.text and "hx-swap-oob" in running.answer.text
    house.call("DELETE", f"/v1/plans/{id}")
    house.until(id, "cancelled")
    ended = visitor.open(f"/jobs/rows?of={id}", **PART)
    assert "the best plan so far was kept" in ended.words and "every 3s" not in ended.answer.text


@pytest.mark.parametrize(("by", "paper"), [("day", "#ffffff"), ("night", "#181b17")])
def test_a_jobs_weldment_is_drawn_by_day_and_by_night(house: House, by: str, paper: str) -> None:
    id = f"drawn-by-{by}"
    kept(house, id, "drawn")
    answer = house.call("GET", f"/jobs/{id}/picture.svg?by={by}")
    assert (answer.status_code, answer.headers["Content-Type"]) == (200, "image/svg+xml")
    assert paper in answer.text and 'class="part"' in answer.text and 'class="weld"' in answer.text
    assert "immutable" in answer.headers["Cache-Control"]


def test_there_is_no_picture_of_no_job(house: House) -> None:
    assert house.call("GET", "/jobs/nothing/picture.svg").status_code == 404
    assert house.call("GET", "/jobs/nothing").status_code == 404


def test_a_running_job_is_followed_drawn_and_stopped_with_its_best_plan(house: House, visitor: Visitor) -> None:
    id = house.ask("hangs", time_limit_s=50).json()["id"]
    house.until(id, "running")
    for _ in range(100):
        part = visitor.open(f"/jobs/{id}/progress", **PART)
        if "at most 12.5 % above the cheapest" in part.words and records(house).best_so_far(id):
            break
    assert "Best so far 9.00, at most 12.5 % above the cheapest possible." in part.words, part.words
    assert "2 of 2 so far" in part.words and "of at most 50 s" in part.words
    drawn = visitor.open(f"/jobs/{id}/drawing", **PART)
    assert (
        'data-cents="900"' in drawn.answer.text
        and 'class="drawing"' in drawn.answer.text
        and "1 piece on table T1" in drawn.words
    )
    screen = visitor.open(f"/jobs/{id}")
    assert "progress.js" in screen.answer.text and "Stop and keep the best so far" in screen.words
    assert visitor.send(screen, f"/jobs/{id}/cancel").leads_to == f"/jobs/{id}"
    house.until(id, "cancelled")
    ended = visitor.open(f"/jobs/{id}/progress", **PART)
    assert ended.answer.headers["HX-Refresh"] == "true", "the page is asked for again, with its answer"
    assert "data-cents" not in visitor.open(f"/jobs/{id}/drawing", **PART).answer.text
    assert "9.00" in visitor.open(f"/jobs/{id}").words


def test_why_there_is_no_plan_is_told_with_its_rule(house: House, visitor: Visitor) -> None:
    id = house.ask("helped", wait=20).json()["id"]
    screen = visitor.open(f"/jobs/{id}")
    for words in (
        "There is no plan, because",
        "lug: a stop 12 mm from w1, 15 mm asked",
        "What would help",
        "relax clear.weld from 15",
        "then 9.00 in all",
    ):
        assert words in screen.words, screen.words
    assert 'href="/rules#clear.weld"' in screen.answer.text
    assert "2 pieces short" in row(visitor.open("/"), id)


def test_a_repair_leads_to_a_new_job_that_asks_for_it(house: House, visitor: Visitor) -> None:
    id = house.ask("helped", wait=20).json()["id"]
    screen = visitor.open(f"/jobs/{id}")
    relaxed, bought = (visitor.send(screen, f"/jobs/{id}/repairs/{number}").leads_to for number in (0, 1))
    assert request_of(house, relaxed)["rules"]["set"]["clear.weld"] == 8
    assert request_of(house, bought)["shortage"] == "price" and request_of(house, bought)["pins"] == [{"item": "stop-60-15"}]
    for made in (relaxed, bought):
        assert house.until(made.removeprefix("/jobs/"), "done")["plan"]["status"] == "optimal"
    assert visitor.send(screen, f"/jobs/{id}/repairs/1").leads_to == bought, "sent twice, asked once"
    assert visitor.post(f"/jobs/{id}/repairs/9", []).status == 404


def test_what_went_wrong_is_told_in_words(house: House, visitor: Visitor) -> None:
    id = house.ask("raises", wait=20).json()["id"]
    screen = visitor.open(f"/jobs/{id}")
    assert "failed" in screen.words and "the planner failed" in screen.words and "What to do." in screen.words
    died = house.ask("dies with a plan", wait=20).json()["id"]
    screen = visitor.open(f"/jobs/{died}")
    assert "The best plan so far was kept" in screen.words and "9.00" in screen.words


def test_where_the_time_ran_out_more_is_offered(house: House, visitor: Visitor) -> None:
    id = house.ask("slow", wait=20, time_limit_s=0.3).json()["id"]
    screen = visitor.open(f"/jobs/{id}")
    assert "Plan again with up to 2 s" in screen.words
    again = visitor.send(screen, f"/jobs/{id}/again", which=1)
    assert request_of(house, again.leads_to)["time_limit_s"] == 2
    house.call("DELETE", f"/v1/plans/{again.leads_to.removeprefix('/jobs/')}")
    assert visitor.post(f"/jobs/{id}/again", [("seconds", "9999")]).status == 422


def test_the_same_is_asked_again_with_the_stock_as_it_is_now(house: House, visitor: Visitor) -> None:
    id = house.ask("plain", wait=20).json()["id"]
    made = visitor.send(visitor.open(f"/jobs/{id}"), f"/jobs/{id}/again").leads_to.removeprefix("/jobs/")
    assert house.until(made, "done")["answered_from"] is None, "it was solved anew"
    same = house.ask("plain", wait=20, again=True).json()
    assert f'href="/jobs/{same["answered_from"]}"' in visitor.open(f"/jobs/{same['id']}").answer.text


def test_a_job_stopped_while_it_waited_says_so(house: House, visitor: Visitor) -> None:
    kept(house, "f1" * 8, "waited", state="cancelled")
    assert "It was stopped before there was a plan, while it waited for its turn." in visitor.open(f"/jobs/{'f1' * 8}").words
