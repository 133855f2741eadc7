"""Changed rules are kept from the page as a version of a rule book: what is asked, what refuses it, who may, what comes after."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import partial
from pathlib import Path
from typing import Any

import pytest

from service.settings import Settings
from tests.databases import new_database
from tests.service.hand_made import hand_made
from tests.service.http.conftest import House, opened
from tests.service.http.keyed import KeyedShop
from tests.service.page.visitor import Seen, Visitor
from tests.solver.checks import tab_job

SCREEN = "/rules/what-if"
ASKED = f"{SCREEN}?change=clear.weld+%3D+20%2C+rate.labour_cents_per_hour%3D6100"
SIGNED: dict[str, Any] = {"why": "rates of the new year", "who": "fixture engineer"}


@pytest.fixture(scope="module")
def floor(tmp_path_factory: pytest.TempPathFactory) -> Iterator[House]:
    """A server with a store and no plan."""
    yield from opened(tmp_path_factory.mktemp("save"), Settings(workers=1), shelf=tab_job.stock(), solves=hand_made)


@pytest.fixture
def visitor(floor: House) -> Visitor:
    return Visitor(floor.call)


def made(floor: House, name: str, rules: Mapping[str, float] = {}) -> None:
    body = {"name": name, "kind": "shop", "set": {"clear.weld": 17, **rules}, "who": "engineer", "why": "first"}
    assert floor.call("POST", "/v1/rules", json=body).status_code == 201


def versions(floor: House, name: str) -> list[dict[str, object]]:
    found: list[dict[str, object]] = floor.call("GET", f"/v1/rules/{name}/versions").json()["versions"]
    return found


def fields(seen: Seen) -> dict[str, list[str]]:
    (form,) = seen.forms()[SCREEN]
    return form.fields


def test_a_new_book_is_made_and_put_in_use_as_told(floor: House, visitor: Visitor) -> None:
    assert "Requests that name no rule book go by the built-in numbers" in visitor.open("/rules").words
    sent = visitor.send(visitor.open(ASKED), SCREEN, book="", name="Halle 2", **SIGNED)
    assert sent.status == 303
    told = visitor.follow(sent)
    assert "Version 1 of rule book Halle 2 is saved" in told.words and SCREEN not in told.forms()
    assert "holdwright rules use 'Halle 2' --why" in told.words and "PUT /v1/rules/in-use" in told.words
    (kept,) = versions(floor, "Halle 2")
    assert kept["set"] == {"clear.weld": 20, "rate.labour_cents_per_hour": 6100}
    assert (kept["by"], kept["why"], kept["base"]) == ("fixture engineer", "rates of the new year", "default")
    use = {"book": "Halle 2", "who": "engineer", "why": "as told"}
    assert floor.call("PUT", "/v1/rules/in-use", json=use, headers={"If-Match": "*"}).status_code == 200
    assert "It is in use" in visitor.follow(sent).words
    assert "go by rule book Halle 2, always its newest version, now 1" in visitor.open("/rules").words
    assert fields(visitor.open(ASKED))["book"] == ["Halle 2@1"]
    writes = floor.call("GET", "/v1/writes").json()["writes"]
    assert any(each["operation"] == "save_what_if" and each["status"] == 201 for each in writes)


def test_a_version_is_laid_over_the_newest_and_a_form_sent_twice_is_one_version(floor: House, visitor: Visitor) -> None:
    made(floor, "north", {"clear.body": 4})
    screen = visitor.open(ASKED)
    sent, again = (visitor.send(screen, SCREEN, book="north@1", **SIGNED) for _ in range(2))
    assert sent.leads_to == again.leads_to and sent.leads_to.endswith("saved=north%402")
    assert [each["version"] for each in versions(floor, "north")] == [2, 1]
    assert versions(floor, "north")[0]["set"] == {"clear.weld": 20, "clear.body": 4, "rate.labour_cents_per_hour": 6100}
    reused = visitor.send(screen, SCREEN, book="north@1", why="another reason", who="engineer")
    assert reused.status == 409 and "sent and saved before" in reused.words


def test_what_another_did_meanwhile_is_told_and_nothing_typed_is_lost(floor: House, visitor: Visitor) -> None:
    made(floor, "south")
    screen = visitor.open(ASKED)
    other = {"set": {"clear.weld": 18}, "who": "somebody else", "why": "burnt a stop"}
    headers = {"If-Match": '"1"'}
    assert floor.call("POST", "/v1/rules/south/versions", json=other, headers=headers).status_code == 201
    stale = visitor.send(screen, SCREEN, part=True, book="south@1", **SIGNED)
    assert stale.status == 412 and stale.answer.text.lstrip().startswith('<div id="effects"')
    assert "somebody else: burnt a stop clear.weld from 17 to 18 mm" in stale.words
    assert len(versions(floor, "south")) == 2
    assert {name: fields(stale)[name] for name in ("book", "why", "change")} == {
        "book": ["south@2"], "why": [SIGNED["why"]], "change": ["clear.weld = 20, rate.labour_cents_per_hour=6100"],
    }  # fmt: skip
    told = visitor.follow(visitor.send(stale, SCREEN, part=True))
    assert "Version 3 of rule book south is saved" in told.words
    late = visitor.send(screen, SCREEN, book="south@1", why="", who="engineer")
    assert late.status == 422 and "burnt a stop" in late.words and set(late.faults()) == {"save-why"}
    early = visitor.send(screen, SCREEN, book="south@9", **SIGNED)
    assert early.status == 412 and "has no version 9 yet" in early.faults()["save-book"]


def test_customers_books_are_named_and_books_left_behind_are_told(floor: House, visitor: Visitor) -> None:
    made(floor, "east")
    acme = {"name": "acme", "kind": "customer", "base": "east", "set": {"clear.body": 5}, "who": "engineer", "why": "agreed"}
    assert floor.call("POST", "/v1/rules", json=acme).status_code == 201
    told = visitor.follow(visitor.send(visitor.open(ASKED), SCREEN, book="east@1", **SIGNED))
    assert "Rule book acme still starts from version 1" in told.words
    told = visitor.follow(visitor.send(visitor.open(ASKED), SCREEN, book="acme@1", **SIGNED))
    assert 'requests go by it that name it, as "rules": {"base": "acme"}' in told.words
    assert "Version 1 of" not in visitor.open(f"{ASKED}&saved=nowhere%401").words


def test_faults_stand_at_their_fields(floor: House, visitor: Visitor) -> None:
    made(floor, "west")
    screen = visitor.open(ASKED)
    wrong = visitor.send(screen, SCREEN, book="", name="a/b", why="  ", who="engineer")
    assert wrong.status == 422 and set(wrong.faults()) == {"save-why"} and fields(wrong)["name"] == ["a/b"]
    wrong = visitor.send(screen, SCREEN, book="", name="a/b", **SIGNED)
    assert wrong.status == 422 and "cannot be called" in wrong.faults()["save-name"]
    assert "there already" in visitor.send(screen, SCREEN, book="", name="west", **SIGNED).faults()["save-name"]
    assert set(visitor.send(screen, SCREEN, book="", name="", why="", who="").faults()) == {"save-name", "save-why", "save-who"}
    assert "one of the two" in visitor.send(screen, SCREEN, book="west@1", name="new", **SIGNED).faults()["save-name"]
    for book in ("nowhere@1", "west", "west@0", "@1"):
        assert set(visitor.send(screen, SCREEN, book=book, **SIGNED).faults()) == {"save-book"}, book
    same = visitor.send(screen, SCREEN, book="west@1", change="clear.weld = 17", **SIGNED)
    assert "changes nothing of version 1" in same.faults()["save-book"]
    for change in ("", "clear.weld", "clear.weld = 900", "clear.weld = nan", "clear.weld = 20," * 300):
        bad = visitor.send(screen, SCREEN, book="west@1", change=change, **SIGNED)
        assert bad.status == 422 and set(bad.faults()) == {"save-change"} and fields(bad)["change"] == [change], change
    assert len(versions(floor, "west")) == 1


def test_engineers_save_and_others_see_no_form_and_are_refused(tmp_path: Path) -> None:
    shop = KeyedShop(new_database("sqlite", tmp_path))
    pairs = [("change", "clear.weld = 20"), ("book", ""), ("name", "shop"), ("why", "agreed"), ("once", "a1")]
    for role in ("reader", "planner", "storekeeper"):
        visitor = Visitor(partial(shop.by, role))
        seen = visitor.open(ASKED)
        assert seen.status == 200 and SCREEN not in seen.forms(), role
        assert visitor.post(SCREEN, pairs).status == 403, role
    assert shop.by("reader", "GET", "/v1/rules").json()["books"] == []
    engineer = Visitor(partial(shop.by, "engineer"))
    assert "who" not in fields(engineer.open(ASKED))
    sent = engineer.send(engineer.open(ASKED), SCREEN, name="shop", why="agreed")
    assert sent.status == 303, sent.faults()
    (book,) = shop.by("reader", "GET", "/v1/rules").json()["books"]
    assert (book["name"], book["version"]) == ("shop", 1) and book["by"]
