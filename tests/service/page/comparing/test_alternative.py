"""One alternative in full: everything in its drawings can be picked in its lists too, and says what it does."""

from __future__ import annotations

import re
from urllib.parse import urlencode

import pytest

from service.drawings.sheets.sheet_order import DrawingOrder, draw
from service.page.preferences import COOKIE, Preferences
from tests.benchmarks.shop import SHOP
from tests.service.http.conftest import House
from tests.service.page.comparing.finished import BROWSER, HTMX, finished, kept_documents


@pytest.fixture(scope="module")
def job(house: House) -> str:
    return finished(house.app.state.context.planning.records)


@pytest.fixture(scope="module")
def again(house: House) -> str:
    return finished(house.app.state.context.planning.records, "tee-again")


def shown(house: House, id: str, query: str = "", **headers: str) -> str:
    answer = house.call("GET", f"/jobs/{id}/1{query}", headers={**BROWSER, **headers})
    assert answer.status_code == 200, answer.text
    return answer.text


def fragment(house: House, id: str, query: str, target: str) -> str:
    return shown(house, id, query, **HTMX, **{"HX-Target": target})


def test_whatever_can_be_picked_in_the_drawings_stands_in_the_lists_too(house: House, job: str) -> None:
    text = shown(house, job)
    drawn = set(re.findall(r'<g[^>]* data-about="((?:piece|part|weld):[^"]+)"', text))
    listed = set(re.findall(r'data-pick="((?:piece|part|weld):[^"]+)"', text))
    assert drawn == listed and len(drawn) == 8 + 2 + 2


def test_each_view_names_the_ways_and_the_torch_of_every_weld(house: House, job: str) -> None:
    text = shown(house, job)
    assert re.findall(r'data-about="(way:[^"]+)"', text) == 2 * ["way:1", "way:2", "way:out"]
    assert set(re.findall(r'data-about="(torch:[^"]+)"', text)) == {"torch:w1", "torch:w2"}
    assert re.findall(r'"name": "([^"]+)"', text) == ["1", "2", "out"], "and the view in space plays them"


@pytest.mark.parametrize("number", range(1, 9))
def test_a_piece_says_what_it_does_where_how_and_from_which_bin(house: House, job: str, number: int) -> None:
    placement = kept_documents("hinge-lug")[1]["alternatives"][0]["placements"][number - 1]
    text = fragment(house, job, f"?pick=piece:{placement['id']}", "picked")
    assert "<html" not in text and 'id="picked"' in text
    for said in ("<dt>does</dt>", f"<dd>{placement['hole'] or 'on ' + str(placement['stands_on'])}</dd>", "<dt>from bin</dt>"):
        assert said in text
    assert ("<dt>set to</dt>" in text) == (placement["setting_mm"] is not None)


def test_what_a_piece_bears_is_the_plan_s_own_figure(house: House, again: str) -> None:
    """Rounded from the plan's finding: 301.7 N of 3,600 N at p1."""
    assert "from header: 302 N of 3,600 N its stack may bear" in fragment(house, again, "?pick=piece:p1", "picked")
    assert re.search(r"pressing on leg: [\d,]+ N", fragment(house, again, "?pick=piece:p6", "picked"))


def test_a_part_a_weld_and_a_hole_can_be_picked(house: House, job: str) -> None:
    part = fragment(house, job, "?pick=part:lug", "picked")
    assert "as number 2 of 2" in part and 'data-way="2"' in part and "p8, Toggle clamp" in part
    weld = fragment(house, job, "?pick=weld:w1", "picked")
    assert "from the left, 45° up" in weld
    hole = fragment(house, job, "?pick=hole:O17", "picked")
    assert "taken by p1" in hole and "Cannot be used" in hole
    assert "free: no piece" in fragment(house, job, "?pick=hole:A1", "picked")


@pytest.mark.parametrize(
    "pick", ["piece:p99", "part:none", "weld:", "hole:ZZ99", "hole:a1", "hole:A1e5", "table:T1", "<b>", "piece", ":"]
)
def test_what_nothing_is_called_is_told_so(house: House, job: str, pick: str) -> None:
    answer = house.call("GET", f"/jobs/{job}/1?{urlencode({'pick': pick})}", headers=BROWSER)
    assert answer.status_code == 404 and "<b>'" not in answer.text


def test_lengths_are_shown_in_the_unit_that_is_liked(house: House, job: str) -> None:
    text = shown(house, job, "?pick=piece:p8", Cookie=f"{COOKIE}=units=inch")
    assert Preferences().units == "drawn"
    assert "2.559 in" in text and "65 mm" not in text.replace("65 mm of", "")
    drawn = re.search(r'<svg id="view-top".*?</svg>\s*</div>', text, re.S)
    assert drawn is not None and "set 2.559 in" in drawn[0]


def test_findings_are_picked_out_by_how_they_stand(house: House, job: str) -> None:
    every = fragment(house, job, "?shown=all", "findings")
    near = fragment(house, job, "?shown=near", "findings")
    failed = fragment(house, job, "?shown=failed", "findings")
    findings = [each for each in kept_documents("hinge-lug")[1]["alternatives"][0]["findings"] if each["rule"] != "not_computed"]
    assert every.count("<tr>") - 1 == len(findings)
    assert 0 < near.count("<tr>") - 1 < len(findings) and "way.lift" in near
    assert "No check failed." in failed
    assert house.call("GET", f"/jobs/{job}/1?shown=some", headers=BROWSER).status_code == 422


def test_labels_follow_in_a_view_of_the_same_size(house: House, job: str, monkeypatch: pytest.MonkeyPatch) -> None:
    async def here(order: DrawingOrder) -> bytes:
        return draw(order)  # in this process: what it takes to start another one is not what is asked here

    monkeypatch.setattr(house.app.state.context.sheets, "_draw", here)
    text = shown(house, job)
    whole = house.call("GET", f"/jobs/{job}/1/views/top", headers=HTMX)
    assert whole.status_code == 200
    box = r'<svg id="view-top"[^>]*viewBox="([^"]+)"'
    first, then = re.search(box, text), re.search(box, whole.text)
    assert first and then and first[1] == then[1], "nothing jumps"
    assert "h 67.5" in whole.text and "h 67.5" not in text
    assert "h 67.5" in shown(house, job), "once drawn it is there at once"
    assert house.call("GET", f"/jobs/{job}/1/views/below", headers=BROWSER).status_code == 422


def test_the_largest_plan_has_its_rows(house: House) -> None:
    house.stock.now = SHOP
    text = shown(house, finished(house.app.state.context.planning.records, "frame-20"))
    assert len(re.findall(r'<tr data-about="piece:', text)) == 74
