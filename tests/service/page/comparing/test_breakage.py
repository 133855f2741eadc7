"""Broken pieces are written down in the store by those who may, and are then not left out a second time."""

from __future__ import annotations

import json
from collections.abc import Iterator
from urllib.parse import urlencode

import pytest

from tests.databases import new_database
from tests.service.page.comparing.demo_shop import DemoShop
from tests.service.page.comparing.finished import BROWSER, OURS, finished

FORM = {**OURS, "Content-Type": "application/x-www-form-urlencoded"}


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Iterator[DemoShop]:
    opened = DemoShop(new_database("sqlite", tmp_path_factory.mktemp("demo")))
    yield opened
    opened.store.close()


def out_of_service(shop: DemoShop, item: str) -> int:
    found: int = shop.by("reader", "GET", f"/v1/stock/{item}").json()["out_of_service"]
    return found


def test_only_those_who_plan_see_the_form_and_are_heard(shop: DemoShop) -> None:
    job = finished(shop.records)
    asked = f"/jobs/{job}/1?{urlencode({'pick': 'piece:p1', 'entry': 'broken:p1'})}"
    assert "Plan again" in shop.by("planner", "GET", asked, headers=BROWSER).text
    text = shop.by("reader", "GET", asked, headers=BROWSER).text
    assert "Plan again" not in text and "Not there" not in text and "What if" not in text and "<dt>does</dt>" in text
    for action in ("replan", "why"):
        assert shop.by("reader", "POST", f"/jobs/{job}/1/{action}", content="entry=gone:p1", headers=FORM).status_code == 403


def test_a_planner_who_keeps_no_store_leaves_it_out_of_this_plan_alone(shop: DemoShop) -> None:
    before = out_of_service(shop, "swivel-60")
    form = urlencode([("entry", "broken:p3"), ("record", "yes"), ("once", "a")])
    answer = shop.by("planner", "POST", f"/jobs/{finished(shop.records)}/1/replan", content=form, headers=FORM)
    assert answer.status_code == 303, answer.text
    assert out_of_service(shop, "swivel-60") == before
    asked = json.loads(shop.records.get(answer.headers["Location"].rpartition("/")[2]).request)  # type: ignore[union-attr]
    assert asked["without"] == {"items": {"swivel-60": 1}, "broken": {"swivel-60": 1}, "holes": []}


def test_written_down_once_it_is_broken_for_everybody(shop: DemoShop) -> None:
    job, before = finished(shop.records), out_of_service(shop, "swivel-60")
    form = urlencode([("entry", "broken:p3"), ("record", "yes"), ("once", "b")])
    answers = [shop.by("admin", "POST", f"/jobs/{job}/1/replan", content=form, headers=FORM) for _ in range(2)]
    assert [answer.status_code for answer in answers] == [303, 303], answers[0].text
    assert answers[0].headers["Location"] == answers[1].headers["Location"]
    assert out_of_service(shop, "swivel-60") == before + 1
    asked = json.loads(shop.records.get(answers[0].headers["Location"].rpartition("/")[2]).request)  # type: ignore[union-attr]
    assert asked["without"]["items"] == {}
    assert any(row["operation"] == "replan_here" for row in shop.writes())
