"""Rule books over HTTP: made, changed, explained, compared, used and copied, on either database."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from solver.rule_book import VALUES
from tests.service.http.shop import Shop

RATE = "rate.labour_cents_per_hour"
SIGNED = {"who": "fixture engineer", "why": "rates of the new year"}


def change(shop: Shop, book: str, match: str | None, **body: Any) -> Any:
    headers = {} if match is None else {"If-Match": match}
    return shop.ask("POST", f"/v1/rules/{book}/versions", json={**SIGNED, **body}, headers=headers)


def two_books(shop: Shop) -> None:
    """A shop's book in use, and a customer's that starts from it."""
    assert (
        shop.ask("POST", "/v1/rules", json={"name": "shop", "set": {RATE: 6000, "clear.weld": 20}, **SIGNED}).status_code == 201
    )
    use = shop.ask("PUT", "/v1/rules/in-use", json={"book": "shop", **SIGNED}, headers={"If-Match": '"1"'})
    assert (use.status_code, use.headers["etag"]) == (200, '"2"')
    acme = {"name": "acme", "kind": "customer", "units": "inch", "set": {"clear.weld": 1}, **SIGNED}
    made = shop.ask("POST", "/v1/rules", json=acme)
    assert (made.json()["base"], made.json()["base_version"], made.json()["set"]) == ("shop", 1, {"clear.weld": 25.4})


def faults(answer: Any) -> list[tuple[str, str]]:
    assert answer.status_code == 422, answer.text
    return [(fault["pointer"], fault["wrong"]) for fault in answer.json()["faults"]]


def test_a_book_tells_where_each_value_comes_from(shop: Shop) -> None:
    two_books(shop)
    rules = {rule["name"]: rule for rule in shop.ask("GET", "/v1/rules/acme").json()["rules"]}
    assert set(rules) == set(VALUES)
    assert rules["clear.weld"]["steps"] == [
        {"book": "default", "version": 1, "value": VALUES["clear.weld"].default},
        {"book": "shop", "version": 1, "value": 20.0},
        {"book": "acme", "version": 1, "value": 25.4},
    ]
    assert (rules[RATE]["book"], rules[RATE]["value"]) == ("shop", 6000)
    torch = shop.ask("GET", "/v1/rules/default", params={"prefix": "torch."}).json()["rules"]
    assert torch and {rule["book"] for rule in torch} == {"default"}


def test_a_change_is_based_on_the_version_that_was_read(shop: Shop) -> None:
    two_books(shop)
    read = shop.ask("GET", "/v1/rules/shop")
    assert change(shop, "shop", None, set={RATE: 7200}).status_code == 428
    done = change(shop, "shop", read.headers["etag"], set={RATE: 7200})
    assert (done.status_code, done.headers["etag"], done.headers["location"]) == (201, '"2"', "/v1/rules/shop/versions/2")
    assert done.json()["behind"] == [{"name": "acme", "version": 1}]
    assert change(shop, "shop", read.headers["etag"], set={RATE: 9000}).status_code == 412
    assert shop.ask("PUT", "/v1/rules/in-use", json={"book": "shop", **SIGNED}, headers={"If-Match": '"1"'}).status_code == 412
    followed = change(shop, "shop", '"2"', set={RATE: 8000}, follow=True).json()
    assert (followed["followed"], followed["behind"]) == ([{"name": "acme", "version": 2}], [])


def test_the_same_write_under_one_key_makes_one_version(shop: Shop) -> None:
    two_books(shop)
    headers = {"If-Match": '"1"', "Idempotency-Key": "a change of rates"}
    answers = [
        shop.ask("POST", "/v1/rules/shop/versions", json={**SIGNED, "set": {RATE: 7200}}, headers=headers) for _ in range(2)
    ]
    assert [each.status_code for each in answers] == [201, 201] and answers[0].json() == answers[1].json()
    assert [each["version"] for each in shop.ask("GET", "/v1/rules/shop/versions").json()["versions"]] == [2, 1]


def test_versions_are_listed_and_stay_readable(shop: Shop) -> None:
    two_books(shop)
    change(shop, "shop", "*", set={RATE: 7200}, unset=["clear.weld"])
    page = shop.ask("GET", "/v1/rules/shop/versions", params={"limit": 1}).json()
    assert [(each["version"], each["by"], each["why"]) for each in page["versions"]] == [(2, SIGNED["who"], SIGNED["why"])]
    rest = shop.ask("GET", "/v1/rules/shop/versions", params={"cursor": page["next"]}).json()
    assert [each["set"] for each in rest["versions"]] == [{"clear.weld": 20.0, RATE: 6000.0}] and rest["next"] is None
    first = shop.ask("GET", "/v1/rules/shop/versions/1").json()
    assert first["fingerprint"] == rest["versions"][0]["fingerprint"]
    listed = shop.ask("GET", "/v1/rules").json()
    assert [(each["name"], each["version"], each["base"], each["base_version"], each["base_newest"]) for each in listed["books"]] == [
        ("acme", 1, "shop", 1, 2), ("shop", 2, "default", 1, 1),
    ]  # fmt: skip
    assert (listed["in_use"]["book"], listed["in_use"]["version"], listed["in_use"]["by"]) == ("shop", None, SIGNED["who"])


def test_two_versions_are_compared(shop: Shop) -> None:
    two_books(shop)
    change(shop, "shop", "*", set={RATE: 7200})
    told = shop.ask("GET", "/v1/rules/shop/difference", params={"version": 1}).json()
    assert told["rules"] == [
        {
            "name": RATE,
            "unit": VALUES[RATE].unit,
            "before": {"book": "shop", "version": 1, "value": 6000.0},
            "after": {"book": "shop", "version": 2, "value": 7200.0},
        }
    ]
    other = shop.ask("GET", "/v1/rules/default/difference", params={"to": "acme"}).json()["rules"]
    assert [(each["name"], each["after"]["book"]) for each in other] == [("clear.weld", "acme"), (RATE, "shop")]


def test_books_are_carried_to_another_store(shop: Shop, tmp_path: Path) -> None:
    two_books(shop)
    change(shop, "shop", "*", set={RATE: 7200}, follow=True)
    document = shop.ask("GET", "/v1/rules/export").json()
    other = Shop(f"sqlite:///{tmp_path / 'other.sqlite3'}")
    looked = other.ask("POST", "/v1/rules/import", params={"dry_run": "true"}, json=document).json()
    assert (looked["books"], looked["written"]) == (["acme", "shop"], False)
    assert other.ask("GET", "/v1/rules").json()["books"] == []
    taken = other.ask("POST", "/v1/rules/import", json=document).json()
    assert len(taken["versions"]) == 4 and taken["unchanged"] == 0 and taken["written"]
    assert other.ask("GET", "/v1/rules/export").json() == {**document, "in_use": None}
    assert other.ask("POST", "/v1/rules/import", json=document).json()["unchanged"] == 4

    change(other, "shop", "*", set={RATE: 1})
    change(shop, "shop", "*", set={RATE: 2})
    assert faults(other.ask("POST", "/v1/rules/import", json=shop.ask("GET", "/v1/rules/export").json())) == [
        ("/books/1/versions/2", "version 3 of rule book 'shop' says something else here")
    ]
    other.store.close()


def test_what_does_not_go_together_is_not_taken_in(shop: Shop) -> None:
    two_books(shop)
    document = shop.ask("GET", "/v1/rules/export").json()

    def with_first(**changed: Any) -> dict[str, Any]:
        book = document["books"][1]
        return {
            **document,
            "books": [{**book, "name": "copy", "versions": [{**book["versions"][0], "fingerprint": "", **changed}]}],
        }

    for changed, pointer in (
        ({"base": "nowhere"}, "base"),
        ({"base": "copy"}, "base"),
        ({"set": {RATE: 1}}, f"resolved/{RATE}"),
        ({"set": {"clear.weldd": 1}}, "set/clear.weldd"),
        ({"version": 2}, "version"),
        ({"why": ""}, "why"),
        ({"fingerprint": "0"}, "fingerprint"),
    ):
        found = faults(shop.ask("POST", "/v1/rules/import", json=with_first(**changed)))
        assert f"/books/0/versions/0/{pointer}" in [at for at, _ in found], (changed, found)
    assert shop.ask("POST", "/v1/rules/import", json=with_first()).status_code == 200


def test_bad_bodies_are_refused_with_every_fault(shop: Shop) -> None:
    two_books(shop)
    body = {"name": "x", "set": {"clear.weldd": 1}, "bases": "shop", "why": "because"}
    assert {at for at, _ in faults(shop.ask("POST", "/v1/rules", json=body))} == {"/set/clear.weldd", "/bases", "/who"}
    assert faults(change(shop, "shop", "*", set={RATE: 7200}, why="")) == [("/why", "no reason is given")]
    assert faults(change(shop, "shop", "*", base="acme"))[0][0] == "/base"
    assert shop.ask("POST", "/v1/rules", json={"name": "shop", **SIGNED}).status_code == 409
    assert change(shop, "shopp", "*", set={RATE: 1}).status_code == 404
    assert shop.ask("GET", "/v1/rules/shop/versions/9").status_code == 404
    assert shop.ask("GET", "/v1/rules/default/versions/2").status_code == 404
    refused = shop.ask("PUT", "/v1/rules/in-use", json={"book": "acme", **SIGNED}, headers={"If-Match": "*"})
    assert faults(refused)[0][0] == "/book"
