"""What is handed over of an alternative: sheets on either paper, every format with its use, the way to reserve the kit."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import pytest

from service.drawings.sheets.wanted_format import offered
from tests.databases import new_database
from tests.service.asked import DEMO_STOCK
from tests.service.http.conftest import House
from tests.service.page.comparing.demo_shop import DemoShop
from tests.service.page.comparing.finished import BROWSER, finished


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Iterator[DemoShop]:
    opened = DemoShop(new_database("sqlite", tmp_path_factory.mktemp("demo")))
    yield opened
    opened.store.close()


@pytest.fixture(scope="module")
def job(house: House) -> str:
    return finished(house.app.state.context.planning.records)


def test_every_format_is_offered_with_what_it_is_for(house: House, job: str) -> None:
    text = house.call("GET", f"/jobs/{job}/1/print", headers=BROWSER).text
    for name, format in offered().items():
        assert format.use and format.use in text
        assert f'href="/v1/plans/{job}/alternatives/1/sheet?format={name}&amp;paper=a4"' in text
    assert "Local code" in text


def test_paper_is_chosen(house: House, job: str) -> None:
    text = house.call("GET", f"/jobs/{job}/1/print?paper=letter", headers=BROWSER).text
    assert "format=pdf&amp;paper=letter" in text and "PDF on letter paper" in text
    assert house.call("GET", f"/jobs/{job}/1/print?paper=a3", headers=BROWSER).status_code == 422


def test_what_is_short_is_said_before_it_is_reserved(house: House, job: str) -> None:
    lines = {id: replace(line, count=1, out_of_service=0, reserved=0) for id, line in DEMO_STOCK.lines.items()}
    house.stock.now = replace(DEMO_STOCK, lines=lines)
    text = house.call("GET", f"/jobs/{job}/1/print", headers=BROWSER).text
    assert "2 items short" in text and "2 needed, 1 free" in text


def test_a_kit_is_reserved_where_the_store_does_it_by_those_who_may(shop: DemoShop, house: House, job: str) -> None:
    plan = finished(shop.records)
    address = f"/store/reservations/new?plan={plan}&amp;rank=1"
    assert address in shop.by("planner", "GET", f"/jobs/{plan}/1/print", headers=BROWSER).text
    assert address not in shop.by("reader", "GET", f"/jobs/{plan}/1/print", headers=BROWSER).text
    assert "keeps no store" in house.call("GET", f"/jobs/{job}/1/print", headers=BROWSER).text


def test_a_promise_for_the_plan_is_told_on_its_screens(shop: DemoShop) -> None:
    plan = finished(shop.records)
    order = {"job": "gate rails", "plan": plan, "rank": 1, "who": "planner", "why": "run"}
    made = shop.by("planner", "POST", "/v1/reservations", order)
    assert made.status_code == 201, made.text
    for address in (f"/jobs/{plan}", f"/jobs/{plan}/1", f"/jobs/{plan}/1/print"):
        assert f'href="/store/reservations/{made.json()["id"]}"' in shop.by("reader", "GET", address, headers=BROWSER).text
