"""What every screen has round it: what it may load, who may see it, how its browser likes it, how it tells what went wrong."""

from __future__ import annotations

import re

import pytest

from service.page.frame import POLICY
from service.page.preferences import COOKIE, Preferences
from service.page.static_files import static_files
from tests.service.http.conftest import House
from tests.service.http.keyed import KeyedShop

BROWSER = {"Accept": "text/html,application/xhtml+xml,*/*;q=0.8"}
OURS = {**BROWSER, "Sec-Fetch-Site": "same-origin"}
HTMX = {"HX-Request": "true", "Sec-Fetch-Site": "same-origin"}


def test_a_screen_may_load_from_its_own_server_alone_and_holds_no_script(house: House) -> None:
    answer = house.call("GET", "/settings", headers=BROWSER)
    assert answer.headers["Content-Security-Policy"] == POLICY
    assert "unsafe" not in POLICY
    assert answer.headers["Cache-Control"] == "no-store"
    assert not re.search(r"<script(?![^>]*\bsrc=)|<style|\sstyle=|\son[a-z]+=|https?://", answer.text)


def test_what_a_screen_loads_is_there_and_is_kept(house: House) -> None:
    text = house.call("GET", "/settings", headers=BROWSER).text
    loaded = re.findall(r'(?:src|href)="(/static/[^"]+)"', text)
    assert len(loaded) >= 5
    for address in loaded:
        answer = house.call("GET", address)
        assert (answer.status_code, "immutable" in answer.headers["Cache-Control"]) == (200, True)
    stale = house.call("GET", f"/static/000000000000/{loaded[0].rpartition('/')[2]}")
    assert (stale.status_code, stale.headers["Cache-Control"]) == (200, "no-store")


@pytest.mark.parametrize("name", ["nothing.js", "%2e%2e/page.py", "..%2fpage.py", "/etc/passwd", "page.py", "%00"])
def test_nothing_else_is_had_under_static(house: House, name: str) -> None:
    assert house.call("GET", f"/static/{static_files().digest}/{name}").status_code == 404


def test_a_strange_address_is_told_as_a_screen_to_browsers_and_as_a_document_to_programs(house: House) -> None:
    screen = house.call("GET", "/nothing/here", headers=BROWSER)
    assert (screen.status_code, screen.headers["Content-Type"]) == (404, "text/html; charset=utf-8")
    assert "<h1>" in screen.text and screen.headers["Content-Security-Policy"] == POLICY
    assert house.call("GET", "/nothing/here").headers["Content-Type"] == "application/problem+json"
    assert house.call("GET", "/v1/plans/none", headers=BROWSER).headers["Content-Type"] == "application/problem+json"


def test_a_part_of_a_page_is_told_of_problems_where_the_page_shows_them(house: House) -> None:
    answer = house.call("GET", "/?state=strange", headers=HTMX)
    assert (answer.status_code, answer.headers["HX-Retarget"]) == (422, "#problems")
    assert "<html" not in answer.text and "strange" in answer.text


def test_an_unknown_parameter_is_refused_in_words(house: House) -> None:
    answer = house.call("GET", "/?colour=%3Cscript%3Ealert(1)%3C/script%3E", headers=BROWSER)
    assert answer.status_code == 422
    assert "<script>alert" not in answer.text and "there is no parameter" in answer.text


def test_a_browser_is_remembered_by_what_it_likes(house: House) -> None:
    kept = house.call("POST", "/settings", data={"theme": "dark", "units": "inch", "name": "Ute <b>"}, headers=OURS)
    assert (kept.status_code, kept.headers["Location"]) == (303, "/settings")
    cookie = kept.headers["Set-Cookie"].partition(";")[0]
    shown = house.call("GET", "/settings", headers={**BROWSER, "Cookie": cookie}).text
    assert 'data-theme="dark"' in shown and 'value="inch" checked' in shown and 'value="Ute &lt;b&gt;"' in shown


@pytest.mark.parametrize("cookie", ["theme=pink&units=cubits", "%ff%fe", "=" * 5000, "name=" + "x" * 300, "name=%07"])
def test_a_strange_cookie_changes_nothing(house: House, cookie: str) -> None:
    assert house.call("GET", "/settings", headers={**BROWSER, "Cookie": f"{COOKIE}={cookie}"}).text.count("checked") == 2
    assert Preferences() == Preferences("auto", "drawn", "")


@pytest.mark.parametrize("form", [{"theme": "pink"}, {"units": "cubits"}, {"name": "x" * 201}])
def test_a_strange_liking_is_refused_at_its_field(house: House, form: dict[str, str]) -> None:
    answer = house.call("POST", "/settings", data=form, headers=OURS)
    assert answer.status_code == 422
    assert 'id="faults"' in answer.text and "Set-Cookie" not in answer.headers


def test_a_page_of_another_site_changes_nothing(house: House) -> None:
    elsewhere = {**BROWSER, "Sec-Fetch-Site": "cross-site", "Origin": "http://elsewhere.example"}
    answer = house.call("POST", "/settings", data={"theme": "dark"}, headers=elsewhere)
    assert answer.status_code == 403
    assert "Set-Cookie" not in answer.headers and "A page of another site asked for it" in answer.text


def test_no_form_is_taken_for_one(house: House) -> None:
    answer = house.call("POST", "/settings", content=b"{}", headers={**OURS, "Content-Type": "application/json"})
    assert answer.status_code == 415


def test_who_is_not_known_is_led_to_sign_in_and_back(keyed: KeyedShop) -> None:
    led = keyed.by(None, "GET", "/?name=post", headers=BROWSER)
    assert (led.status_code, led.headers["Location"]) == (303, "/sign-in?next=%2F%3Fname%3Dpost")
    assert "password" in keyed.by(None, "GET", led.headers["Location"], headers=BROWSER).text
    fragment = keyed.by(None, "GET", "/", headers={"HX-Request": "true"})
    assert (fragment.status_code, fragment.headers["HX-Redirect"]) == (204, "/sign-in?next=%2F")


def test_a_key_opens_the_page_and_is_given_up_again(keyed: KeyedShop) -> None:
    form = {"key": keyed.keys["planner"], "next": "/?name=post"}
    opened = keyed.by(None, "POST", "/sign-in", data=form, headers={**OURS, "Origin": "http://shop"})
    assert (opened.status_code, opened.headers["Location"]) == (303, "/?name=post")
    cookie = {"Cookie": opened.headers["Set-Cookie"].partition(";")[0]}
    shown = keyed.by(None, "GET", "/", headers={**BROWSER, **cookie})
    assert shown.status_code == 200 and "the planner, planner" in shown.text and keyed.keys["planner"] not in shown.text
    assert keyed.by(None, "POST", "/sign-out", headers={**OURS, **cookie}).status_code == 303
    assert keyed.by(None, "GET", "/", headers={**BROWSER, **cookie}).status_code == 303


def test_a_key_that_opens_nothing_is_told_at_its_field(keyed: KeyedShop) -> None:
    refused = keyed.by(None, "POST", "/sign-in", data={"key": "hw_00000000_nothing"}, headers=OURS)
    assert refused.status_code == 422 and "key-fault" in refused.text and "Set-Cookie" not in refused.headers


@pytest.mark.parametrize(
    "address",
    ["//elsewhere.example", "http://elsewhere.example/", "/\\elsewhere.example", "\\/x", "javascript:alert(1)", "/a\nb"],
)
def test_signing_in_leads_to_no_other_server(keyed: KeyedShop, address: str) -> None:
    form = {"key": keyed.keys["reader"], "next": address}
    assert keyed.by(None, "POST", "/sign-in", data=form, headers=OURS).headers["Location"] == "/"
