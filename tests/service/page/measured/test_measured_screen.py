"""How long an alternative took, on its screen: the form, what is wrong at its field, the list, a report taken back, who may."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from tests.databases import new_database
from tests.service.page.comparing.demo_shop import DemoShop
from tests.service.page.comparing.finished import BROWSER, OURS, finished
from tests.service.page.visitor import Seen, Visitor

FORM = {**OURS, "Content-Type": "application/x-www-form-urlencoded"}


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Iterator[DemoShop]:
    opened = DemoShop(new_database("sqlite", tmp_path_factory.mktemp("demo")))
    yield opened
    opened.store.close()


@pytest.fixture(scope="module")
def planner(shop: DemoShop) -> Visitor:
    return Visitor(lambda method, path, **more: shop.by("planner", method, path, **more))


def opened(planner: Visitor, shop: DemoShop) -> tuple[str, Seen]:
    """Return the address of the reports of a plan of its own, and its screen."""
    address = f"/jobs/{finished(shop.records)}/1/measured"
    return address, planner.open(address)


def test_an_alternative_leads_to_how_long_it_took(planner: Visitor, shop: DemoShop) -> None:
    address, screen = opened(planner, shop)
    assert screen.status == 200 and "Nothing was measured yet" in screen.words and "No target for people" in screen.words
    alternative = planner.open(address.removesuffix("/measured"))
    assert f'href="{address}"' in alternative.answer.text and f'hx-get="{address}"' in alternative.answer.text


def test_what_was_measured_is_listed_beside_what_was_predicted(planner: Visitor, shop: DemoShop) -> None:
    address, screen = opened(planner, shop)
    sent = planner.send(
        screen, address, setup_minutes="14,5", set_before="yes", cycle_s="42.5", arc_s="12", pieces="40", note="new man"
    )
    listed = planner.follow(sent)
    assert "14.5 min" in listed.words and "30.5 s" in listed.words and "mean of 40" in listed.words
    assert "setup, set before" in listed.words and "new man" in listed.words
    again = planner.send(
        screen, address, setup_minutes="14,5", set_before="yes", cycle_s="42.5", arc_s="12", pieces="40", note="new man"
    )
    assert planner.follow(again).words.count("14.5 min") == 1, "the same form sent twice is written once"


def test_a_part_of_the_page_answers_with_that_part(planner: Visitor, shop: DemoShop) -> None:
    address, screen = opened(planner, shop)
    part = planner.send(screen, address, part=True, cycle_s="50")
    assert part.status == 200 and part.answer.text.strip().startswith('<section id="measured"') and "50 s" in part.words


def test_what_is_wrong_stands_at_its_field(planner: Visitor, shop: DemoShop) -> None:
    address, screen = opened(planner, shop)
    assert set(planner.send(screen, address).faults()) == {"setup_minutes"}
    wrong = planner.send(screen, address, setup_minutes="soon", cycle_s="20", arc_s="20", pieces="0", measured_on="2999-01-01")
    assert wrong.status == 422 and set(wrong.faults()) == {"setup_minutes", "arc_s", "pieces", "measured_on"}
    assert set(planner.send(screen, address, arc_s="5").faults()) == {"arc_s"}
    assert "Nothing was measured yet" in planner.open(address).words


def test_a_wrong_report_is_taken_back_and_stays_with_the_reason(planner: Visitor, shop: DemoShop) -> None:
    address, screen = opened(planner, shop)
    listed = planner.follow(planner.send(screen, address, setup_minutes="145"))
    number = max(int(word) for word in listed.answer.text.split("<option>")[1].split("<")[0].split())
    assert set(planner.send(listed, f"{address}/withdraw", number="999", why="").faults()) >= {"why"}
    gone = planner.follow(planner.send(listed, f"{address}/withdraw", number=number, why="a point was missing"))
    assert "taken back" in gone.words and "a point was missing" in gone.words and "Take a wrong report back" not in gone.words


def test_readers_look_and_are_not_heard(shop: DemoShop) -> None:
    address = f"/jobs/{finished(shop.records)}/1/measured"
    text = shop.by("reader", "GET", address, headers=BROWSER).text
    assert "Write it down" not in text and "Predicted: setup" in text
    assert shop.by("reader", "POST", address, content="setup_minutes=5", headers=FORM).status_code == 403
    assert shop.by("reader", "GET", f"/jobs/{'0' * 16}/1/measured", headers=BROWSER).status_code == 404
