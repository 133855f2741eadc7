"""Who may do what on the store's screens: a reader sees everything and no form; what is not allowed is refused at the entrance."""

from __future__ import annotations

from functools import partial
from pathlib import Path

import pytest

from service.roles import Role
from tests.databases import new_database
from tests.service.http.keyed import KeyedShop
from tests.service.http.shop import day
from tests.service.page.visitor import Seen, Visitor

SCREENS = (
    "/store",
    "/store/items/riser-75",
    "/store/reservations",
    "/store/reservations/1",
    "/store/reservations/new",
    "/store/import",
    "/store/advice",
)


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> KeyedShop:
    opened = KeyedShop(new_database("sqlite", tmp_path_factory.mktemp("rights")))
    order = {"job": "gate", "needed": {"from": day(0), "to": day(1)}, "lines": [{"item": "riser-75", "count": 2}]}
    assert opened.by("planner", "POST", "/v1/reservations", order).status_code == 201
    return opened


def changing(screen: Seen) -> set[str]:
    return {action for action in screen.forms() if action.startswith("/store")}


@pytest.mark.parametrize("address", SCREENS)
def test_a_reader_sees_everything_and_no_form(shop: KeyedShop, address: str) -> None:
    screen = Visitor(partial(shop.by, "reader")).open(address)
    assert screen.status == 200 and changing(screen) == set()


@pytest.mark.parametrize(
    ("role", "steps"), [("planner", {"move", "release"}), ("storekeeper", {"hand_out", "move", "release"}), ("reader", set())]
)
def test_the_steps_offered_are_those_that_are_allowed(shop: KeyedShop, role: Role, steps: set[str]) -> None:
    screen = Visitor(partial(shop.by, role)).open("/store/reservations/1")
    assert changing(screen) == {f"/store/reservations/1/{step}" for step in steps}


@pytest.mark.parametrize(
    ("role", "address"),
    [
        ("reader", "/store/reservations/new"), ("reader", "/store/reservations/1/move"), ("planner", "/store/items/riser-75"),
        ("planner", "/store/reservations/1/hand_out"), ("planner", "/store/import"), ("planner", "/store/import/write"),
        ("reader", "/store/advice"),
    ],
)  # fmt: skip
def test_a_form_somebody_made_up_is_refused(shop: KeyedShop, role: Role, address: str) -> None:
    before = shop.everything_kept().count("\n")
    answer = Visitor(partial(shop.by, role)).post(address, [("version", "1"), ("do", "receive"), ("pieces", "1"), ("why", "x")])
    assert answer.status == 403 and "role" in answer.words
    assert shop.everything_kept().count("\n") == before


def test_a_page_of_another_site_hands_nothing_out(shop: KeyedShop) -> None:
    headers = {"Content-Type": "application/x-www-form-urlencoded", "Sec-Fetch-Site": "cross-site", "Accept": "text/html"}
    here = {**headers, "Sec-Fetch-Site": "same-origin"}
    signed_in = shop.by(None, "POST", "/sign-in", content=f"key={shop.keys['admin']}".encode(), headers=here)
    elsewhere = {**headers, "Cookie": signed_in.headers["set-cookie"].partition(";")[0]}
    answer = shop.by(None, "POST", "/store/reservations/1/hand_out", content=b"version=1", headers=elsewhere)
    assert answer.status_code == 403
    assert shop.by("reader", "GET", "/v1/reservations/1").json()["state"] == "reserved"


def test_the_key_signs_where_nobody_is_asked_to(shop: KeyedShop) -> None:
    visitor = Visitor(partial(shop.by, "storekeeper"))
    screen = visitor.open("/store/items/stop-60")
    assert "who" not in screen.forms()["/store/items/stop-60"][0].fields
    after = visitor.follow(visitor.send(screen, "/store/items/stop-60", count=3))
    assert "the storekeeper" in after.words
    (entry,) = [write for write in shop.writes() if write["operation"] == "change_count"]
    assert entry["name"] == "the storekeeper"


def test_a_store_that_is_gone_is_told_and_what_was_typed_stays(tmp_path: Path) -> None:
    shop = KeyedShop(f"sqlite:///{tmp_path}/shop.sqlite3")
    visitor = Visitor(partial(shop.by, "storekeeper"))
    screen = visitor.open("/store/items/riser-75")
    (tmp_path / "shop.sqlite3").unlink()
    whole = visitor.open("/store")
    assert whole.status == 503 and "The store cannot be used" in whole.words and str(tmp_path) not in whole.answer.text
    part = visitor.send(screen, "/store/items/riser-75", part=True, count=3)
    assert part.status == 503 and part.answer.headers["hx-retarget"] == "#problems", "the form is left as it is"
    shop.store.close()
