"""A browser signs in by a key: its cookie, what pages of other sites cannot do with it, how it ends."""

from __future__ import annotations

from collections.abc import Iterator
from http.cookies import SimpleCookie
from pathlib import Path

import httpx
import pytest

from service.http.guard.credentials import COOKIE
from tests.databases import new_database
from tests.service.http.keyed import KeyedShop
from tests.service.http.shop import SIGNED, Shop

OURS = {"Origin": "http://shop"}


@pytest.fixture(scope="module")
def keyed(tmp_path_factory: pytest.TempPathFactory) -> Iterator[KeyedShop]:
    opened = KeyedShop(new_database("sqlite", tmp_path_factory.mktemp("keyed")), sign_in_failures=1000)
    yield opened
    opened.store.close()


def sign_in(keyed: KeyedShop, role: str = "storekeeper", **more: object) -> httpx.Response:
    key = keyed.keys.get(role, role)  # type: ignore[call-overload]
    return keyed.by(None, "POST", "/v1/sign-in", {"key": key}, **more)


def token(answer: httpx.Response) -> str:
    return SimpleCookie(answer.headers["Set-Cookie"])[COOKIE].value


def cookie(answer: httpx.Response) -> dict[str, str]:
    return {"Cookie": f"{COOKIE}={token(answer)}"}


def test_a_cookie_stands_for_the_key(keyed: KeyedShop) -> None:
    signed = sign_in(keyed)
    assert (signed.status_code, signed.json()["role"], signed.json()["way"]) == (200, "storekeeper", "sign-in")
    me = keyed.by(None, "GET", "/v1/me", headers=cookie(signed)).json()
    assert (me["name"], me["way"], me["expires_at"]) == ("the storekeeper", "sign-in", signed.json()["expires_at"])
    assert keyed.by(None, "GET", "/v1/keys", headers=cookie(signed)).status_code == 403
    assert token(signed) not in keyed.everything_kept()
    assert keyed.keys["storekeeper"] not in signed.text + signed.headers["Set-Cookie"]


def test_no_script_and_no_other_site_gets_the_cookie(keyed: KeyedShop) -> None:
    flags = SimpleCookie(sign_in(keyed).headers["Set-Cookie"])[COOKIE]
    assert (flags["httponly"], flags["samesite"], flags["path"], flags["domain"], flags["secure"]) == (
        True,
        "strict",
        "/",
        "",
        "",
    )
    assert flags["expires"]
    secure = SimpleCookie(sign_in(keyed, scheme="https").headers["Set-Cookie"])[COOKIE]
    assert secure["secure"] is True


def test_behind_a_gateway_with_https_the_cookie_is_for_https_alone(tmp_path: Path) -> None:
    keyed = KeyedShop(new_database("sqlite", tmp_path), https=1, sign_in_hours=1)
    assert SimpleCookie(sign_in(keyed).headers["Set-Cookie"])[COOKIE]["secure"] is True
    keyed.store.close()


@pytest.mark.parametrize(
    "headers",
    [
        {},
        {"Origin": "http://evil.example"},
        {"Origin": "null"},
        {"Origin": "http://shop:8080"},
        {"Origin": "http://shop.evil.example"},
        {"Origin": "http://[evil"},
        {"Sec-Fetch-Site": "cross-site", **OURS},
        {"Sec-Fetch-Site": "same-site", **OURS},
        {"Sec-Fetch-Site": "none", **OURS},
        {"Sec-Fetch-Site": ""},
    ],
)
def test_a_page_of_another_site_changes_nothing(keyed: KeyedShop, headers: dict[str, str]) -> None:
    signed = cookie(sign_in(keyed))
    before = keyed.by("reader", "GET", "/v1/stock/riser-75").json()["count"]
    answer = keyed.receive(None, headers={**signed, **headers})
    assert (answer.status_code, answer.json()["type"]) == (403, "/v1/problems/cross-site")
    assert keyed.by("reader", "GET", "/v1/stock/riser-75").json()["count"] == before
    assert keyed.by(None, "GET", "/v1/me", headers={**signed, **headers}).status_code == 200, "looking changes nothing"


@pytest.mark.parametrize("headers", [OURS, {"Origin": "https://SHOP"}, {"Sec-Fetch-Site": "same-origin"}])
def test_our_own_page_may(keyed: KeyedShop, headers: dict[str, str]) -> None:
    assert keyed.receive(None, headers={**cookie(sign_in(keyed)), **headers}).status_code == 201


def test_a_key_needs_no_origin(keyed: KeyedShop) -> None:
    assert keyed.receive("storekeeper", headers={"Origin": "http://evil.example"}).status_code == 201


def test_a_page_of_another_site_cannot_use_a_machine_without_keys_either(shop: Shop) -> None:
    entry = {"do": "receive", "pieces": 1, **SIGNED}
    for headers in ({"Origin": "http://evil.example"}, {"Sec-Fetch-Site": "cross-site"}):
        refused = shop.ask("POST", "/v1/stock/riser-75/entries", entry, headers=headers)
        assert (refused.status_code, refused.json()["type"]) == (403, "/v1/problems/cross-site")
    assert shop.ask("POST", "/v1/stock/riser-75/entries", entry).status_code == 201
    assert sign_in_elsewhere(shop).status_code == 403, "nor sign a browser in as somebody else"


def sign_in_elsewhere(shop: Shop) -> httpx.Response:
    return shop.ask("POST", "/v1/sign-in", {"key": "x"}, headers={"Origin": "http://evil.example"})


def test_signing_out_ends_it(keyed: KeyedShop) -> None:
    signed = cookie(sign_in(keyed))
    assert keyed.by(None, "POST", "/v1/sign-out", headers=signed).status_code == 403, "not for another site to do"
    out = keyed.by(None, "POST", "/v1/sign-out", headers={**signed, **OURS})
    assert out.status_code == 204
    assert SimpleCookie(out.headers["Set-Cookie"])[COOKIE].value == ""
    assert keyed.by(None, "GET", "/v1/me", headers=signed).status_code == 401
    assert keyed.by(None, "POST", "/v1/sign-out").status_code == 204
    assert [each["operation"] for each in keyed.writes()[:2]] == ["sign_out", "sign_in"]


def test_it_ends_with_its_key(keyed: KeyedShop) -> None:
    made = keyed.make("reader", "leaves", days=0.01)
    signed = sign_in(keyed, made.text)
    assert signed.json()["expires_at"] == made.key.expires_at.isoformat().replace("+00:00", "Z")  # type: ignore[union-attr]
    keyed.by("admin", "DELETE", f"/v1/keys/{made.key.id}")
    assert keyed.by(None, "GET", "/v1/me", headers=cookie(signed)).status_code == 401


@pytest.mark.parametrize("value", ["", "x", "A" * 43, "A" * 30_000, "ä" * 43, "%00" * 20])
def test_a_cookie_that_stands_for_nothing_opens_nothing(keyed: KeyedShop, value: str) -> None:
    headers = {"Cookie": f"{COOKIE}={value}".encode("latin-1")}
    assert keyed.by(None, "GET", "/v1/me", headers=headers).status_code == 401


def test_who_tries_keys_has_to_wait(tmp_path: Path, clock: list[float]) -> None:
    keyed = KeyedShop(new_database("sqlite", tmp_path), sign_in_failures=3)
    tries = [keyed.by(None, "POST", "/v1/sign-in", {"key": f"hw_{number}"}) for number in range(8)]
    statuses = [answer.status_code for answer in tries]
    assert statuses == [401] * 3 + [429] * 5
    assert 1 <= int(tries[-1].headers["Retry-After"]) <= 60
    assert sign_in(keyed).status_code == 429, "even with a right one: else the answer would tell"
    assert sign_in(keyed, client="203.0.113.9").status_code == 200, "others are not held up"
    assert sign_in(keyed, "nonsense", client="203.0.113.9").status_code == 401
    keyed.store.close()
