"""The screen of a draft: what its forms do, what it shows, how it refuses."""

from __future__ import annotations

import json
import re

import pytest

from service.documents.weldment import EXAMPLE
from tests.service.http.conftest import House
from tests.service.http.keyed import KeyedShop
from tests.service.page.weldments.describing import BROWSER, OURS, Describer


def words(text: str) -> str:
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", text))


def test_two_parts_are_added_and_welded_and_a_fixture_can_be_asked_for(house: House) -> None:
    draft = Describer.start(house)
    assert "The first part" in draft.look() and f'href="{draft.address}/ask"' not in draft.look()
    draft.tab_on_tube()
    answer = draft.do("add-welds")
    assert answer.status_code == 200 and "<html" not in answer.text and 'data-said="welded 4 seams"' in answer.text
    assert f'href="{draft.address}/ask"' in answer.text
    for about in ("part:0", "part:1", "weld:0", "weld:3"):
        assert f'data-about="{about}"' in answer.text and f'data-choose="{about}"' in answer.text, "what is drawn is listed"


def test_what_is_picked_has_its_forms_filled_in(house: House) -> None:
    draft = Describer.start(house).tab_on_tube()
    part = draft.look("part:1")
    assert (
        'id="change-part-long" name="long" value="100"' in part and 'id="place-part-along_by" name="along_by" value="0"' in part
    )
    assert "Weld it" in draft.look("seam:0")
    draft.do("add-welds")
    draft.do("add-tolerance", part="plate", face="end", plus_minus="0,8", relative_to="tube")
    draft.do("add-open", part="plate", face="end", low="-1", high="1")
    assert 'id="change-weld-size" name="size" value="3"' in draft.look("weld:2")
    assert 'id="change-tolerance-plus_minus" name="plus_minus" value="0.8"' in draft.look("tolerance:0")
    assert 'id="change-open-high" name="high" value="1"' in draft.look("open:0")
    for gone in ("part:99", "weld:99", "seam:99", "tolerance:7", "wheel:1", "part:x"):
        assert "Add a part" in draft.look(gone)


def test_what_cannot_be_read_stays_in_its_field_with_what_is_wrong(house: House) -> None:
    draft = Describer.start(house).tab_on_tube()
    answer = draft.do("change-part", chosen="part:1", shape="plate", long="12,5 <b>", wide="80", thickness="8")
    assert answer.status_code == 422 and 'value="12,5 &lt;b&gt;"' in answer.text
    assert 'aria-invalid="true" aria-describedby="change-part-long-fault' in answer.text and "is no number" in words(answer.text)
    assert draft.do("undo").text.count('data-said="undo of: added plate on tube"') == 1, "nothing was kept of what was refused"


def test_a_fault_of_the_draft_stands_at_its_field_and_leads_there(house: House) -> None:
    draft = Describer.start(house).tab_on_tube()
    answer = draft.do("change-part", chosen="part:0", shape="square_tube", size="", width="50", wall="30", length="500")
    assert answer.status_code == 200 and "1 thing to mend" in words(answer.text) and 'id="change-part-wall-fault"' in answer.text
    assert 'data-choose="part:0" data-field="change-part-wall"' in answer.text
    assert 'data-about="part:1"' in answer.text, "the sound part is drawn"
    sunk = Describer.start(house).tab_on_tube().do("move-part", chosen="part:1", z="-20")
    assert "stands in part" in words(sunk.text) and "to mend" in words(sunk.text)


def test_steps_are_undone_and_done_again(house: House) -> None:
    draft = Describer.start(house).tab_on_tube()
    undone = draft.do("undo")
    assert "plate" not in words(undone.text).partition("Add a part")[0].partition("Parts")[2]
    again = draft.do("redo")
    assert 'data-said="redo of: added plate on tube"' in again.text and 'data-about="part:1"' in again.text
    for _ in range(4):
        last = draft.do("undo")
    assert last.status_code == 200 and 'aria-label="Undo"' in last.text


def test_somebody_elses_step_is_not_lost_and_whoever_was_late_is_told(house: House) -> None:
    mine = Describer.start(house).tab_on_tube()
    other = Describer(house, mine.address, mine.step)
    assert other.do("name", weldment_name="gate").status_code == 200
    late = mine.do("change-part", chosen="part:1", shape="plate", long="120", wide="80", thickness="8")
    assert late.status_code == 409 and "Somebody else changed this draft meanwhile (step 4: named the weldment)" in words(
        late.text
    )
    assert 'value="gate"' in late.text and 'name="long" value="100"' in mine.look("part:1")
    assert mine.do("change-part", chosen="part:1", shape="plate", long="120", wide="80", thickness="8").status_code == 200
    assert 'value="gate"' in mine.look() and 'name="long" value="120"' in mine.look("part:1"), "both are there"
    assert other.do("undo").status_code == 409


def test_a_browser_without_scripts_is_led_to_the_screen_again(house: House) -> None:
    draft = Describer.start(house)
    form = {"do": "add-part", "step": "1", "chosen": "new", "shape": "angle", "length": "300"}
    answer = house.call("POST", draft.address, data=form, headers=OURS)
    assert (answer.status_code, answer.headers["Location"]) == (303, f"{draft.address}?chosen=part:0")
    refused = house.call("POST", draft.address, data={**form, "step": "2", "length": "long"}, headers=OURS)
    assert refused.status_code == 422 and "<html" in refused.text and 'value="long"' in refused.text


def test_lengths_are_told_in_inches_where_that_is_liked(house: House) -> None:
    draft = Describer.start(house).tab_on_tube()
    cookie = {**BROWSER, "Cookie": "holdwright_likes=units=inch"}
    shown = house.call("GET", f"{draft.address}?chosen=part:0", headers=cookie).text
    assert "19.685 in long" in shown and 'name="length" value="500"' in shown, "fields stay in the draft's own unit"
    inches = Describer.start(house, "inch").tab_on_tube()
    assert inches.do("change-part", chosen="part:1", shape="plate", long="4 1/2").status_code == 200
    assert 'name="long" value="4.5"' in inches.look("part:1") and "plate 4.500 in x 3.000 in x 0.250 in" in inches.look()


def test_a_draft_is_had_in_space_and_as_a_document(house: House) -> None:
    draft = Describer.start(house)
    assert house.call("GET", f"{draft.address}/space?step=1", headers=BROWSER).status_code == 404
    draft.tab_on_tube()
    seen = house.call("GET", f"{draft.address}/space?step=3")
    assert seen.content[:4] == b"glTF" and b'"part:1"' in seen.content
    document = house.call("GET", f"{draft.address}/document")
    assert "attachment" in document.headers["Content-Disposition"] and len(document.json()["parts"]) == 2


SCRIPTED = "<script>alert(1)</script>"


def test_a_script_in_any_name_is_text(house: House) -> None:
    draft = Describer.start(house)
    draft.do("name", weldment_name=SCRIPTED)
    draft.do("add-part", shape="square_tube", id=SCRIPTED)
    draft.do("add-part", shape="plate", on=SCRIPTED, id='"><img src=x>')
    draft.do("add-welds")
    draft.do("change-weld", chosen="weld:0", id="<svg/onload=alert(1)>", process=SCRIPTED)
    draft.do("change-part", chosen="part:0", shape="square_tube", name=SCRIPTED)
    draft.do("add-tolerance", part=SCRIPTED, face="end")
    for chosen in ("new", "part:0", "part:1", "weld:0", "tolerance:0"):
        shown = draft.look(chosen)
        assert "&lt;script&gt;alert(1)" in shown
        assert not re.search(r"<script>|<img|<svg/|\son[a-z]+=", shown)


@pytest.mark.parametrize(
    ("do", "fields"),
    [
        ("", {}), ("drop table", {}), ("change-part", {"chosen": "weld:0"}), ("change-part", {"chosen": "part:999999"}),
        ("add-part", {"shape": "square_tube", "length": "9" * 400}), ("add-part", {"shape": "__class__"}), ("add-weld", {"chosen": "seam:5"}),
        ("place-part", {"chosen": "part:0", "on": "\0"}), ("units", {"units": "\ud7ff"}), ("add-tolerance", {"part": "x" * 5000}),
        ("turn-part", {"chosen": "part:0", "degrees": "1e300", "axis": "z"}), ("name", {"step": "x"}), ("name", {"step": "-1"}),
    ],
)  # fmt: skip
def test_strange_forms_are_refused_in_words(house: House, do: str, fields: dict[str, str]) -> None:
    draft = Describer.start(house)
    draft.do("add-part", shape="square_tube")
    form = {"do": do, "step": "2", "chosen": "new", **fields}
    answer = house.call("POST", draft.address, data=form, headers=OURS)
    assert answer.status_code in (409, 422), answer.text
    assert 'class="summary"' in answer.text


@pytest.mark.parametrize("length", ["1000000000", "-5", "0", "0.0000001"])
def test_absurd_sizes_are_kept_and_told(house: House, length: str) -> None:
    draft = Describer.start(house)
    answer = draft.do("add-part", shape="round_bar", length=length)
    assert (
        answer.status_code == 200 and "1 thing to mend" in words(answer.text) and 'id="change-part-length-fault"' in answer.text
    )


def test_who_may_not_plan_sees_none_of_it_and_other_sites_change_nothing(keyed: KeyedShop) -> None:
    for role in ("reader", "storekeeper"):
        assert keyed.by(role, "GET", "/weldments", headers=BROWSER).status_code == 403
        assert keyed.by(role, "POST", "/weldments", data={"from": "blank"}, headers=OURS).status_code == 403
    made = keyed.by("planner", "POST", "/weldments", data={"from": "blank", "units": "mm"}, headers=OURS)
    assert made.status_code == 303
    address = made.headers["Location"]
    for role in ("reader", "storekeeper"):
        for path in ("", "/space?step=1", "/document"):
            assert keyed.by(role, "GET", address + path, headers=BROWSER).status_code == 403
        assert keyed.by(role, "POST", f"{address}/remove", headers=OURS).status_code == 403


def test_an_outer_body_has_its_corners_and_no_faces_to_choose(house: House) -> None:
    section = {"shape": "body", "outline": [[0, 0], [60, 0], [80, 30], [60, 60]]}
    pose = {"at": [0, 80, 0], "along": [0, 0, 1], "up": [0, 1, 0]}
    parts = [*EXAMPLE["parts"], {"id": "casting", "section": section, "length": 50, "pose": pose}]
    form = {"from": "text", "text": json.dumps({**EXAMPLE, "parts": parts})}
    draft = Describer(house, house.call("POST", "/weldments", data=form, headers=OURS).headers["Location"])
    shown = draft.look("part:2")
    assert "outer body 80 mm x 60 mm x 50 mm" in words(shown) and "80 30" in shown and 'class="part outer chosen"' in shown
    assert "No fixture locates or clamps it" in words(shown)
    assert 'id="place-part' not in shown and 'id="add-tolerance' not in shown
    for other in ("part:0", "new"):
        assert '<option value="casting"' not in draft.look(other), "nothing is placed on it or measured from it"
    kept = draft.do("change-part", chosen="part:2", shape="body", corners="0 0\n60 0\n80 30\n60 60", length="55")
    assert kept.status_code == 200 and "to mend" not in words(kept.text)
