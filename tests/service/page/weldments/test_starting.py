"""The screen on which weldments are started, and drafts are listed and removed."""

from __future__ import annotations

import json

from service.documents.weldment import EXAMPLE
from tests.service.http.conftest import House
from tests.service.page.weldments.describing import BROWSER, OURS, Describer


def test_a_weldment_starts_from_nothing_an_example_a_job_or_a_document(house: House) -> None:
    id = house.ask("an earlier job").json()["id"]
    screen = house.call("GET", "/weldments", headers=BROWSER).text
    assert "an earlier job" in screen and "STEP, DXF or a cut list as CSV" in screen
    for form in (
        {"from": "blank", "units": "inch"}, {"from": "example", "example": "tee"}, {"from": "job", "job": id},
        {"from": "text", "text": json.dumps(EXAMPLE)},
    ):  # fmt: skip
        answer = house.call("POST", "/weldments", data=form, headers=OURS)
        assert (answer.status_code, answer.headers["Location"][:11]) == (303, "/weldments/")
        assert house.call("GET", answer.headers["Location"], headers=BROWSER).status_code == 200


def test_a_document_with_faults_is_told_line_by_line_and_kept_in_its_field(house: House) -> None:
    text = json.dumps({**EXAMPLE, "units": "<b>"}, indent=0)
    answer = house.call("POST", "/weldments", data={"from": "text", "text": text}, headers=OURS)
    assert answer.status_code == 422 and "line 4, <code>/units</code>" in answer.text
    assert "take it in as it is" in answer.text and "<b>" not in answer.text.replace("<b></b>", "")
    taken = house.call("POST", "/weldments", data={"from": "text", "text": text, "as_it_is": "yes"}, headers=OURS)
    assert taken.status_code == 303
    for form in (
        {"from": "text", "text": "{"},
        {"from": "example", "example": "../x"},
        {"from": "moon"},
        {"from": "blank", "units": "x"},
    ):
        assert house.call("POST", "/weldments", data=form, headers=OURS).status_code == 422
    assert house.call("POST", "/weldments", data={"from": "job", "job": "none"}, headers=OURS).status_code == 404


def test_drafts_are_listed_and_removed(house: House) -> None:
    draft = Describer.start(house)
    draft.do("name", weldment_name="<script>alert(1)</script>")
    listed = house.call("GET", "/weldments", headers=BROWSER).text
    assert "&lt;script&gt;alert(1)" in listed and "<script>alert" not in listed
    assert house.call("POST", f"{draft.address}/remove", headers=OURS).headers["Location"] == "/weldments"
    assert house.call("GET", draft.address, headers=BROWSER).status_code == 404
    assert house.call("GET", "/weldments/%00", headers=BROWSER).status_code == 404
