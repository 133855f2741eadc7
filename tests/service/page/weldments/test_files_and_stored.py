"""Weldments started from files and from stored ones, and drafts kept as stored weldments."""

from __future__ import annotations

import html
import json
import re
from collections.abc import Iterator
from typing import Any

import pytest

from service.documents.weldment import EXAMPLE as WELDMENT
from service.documents.weldment_files.reading_model import EXAMPLE as READING
from service.http.weldment_files.reading_pool import ReadingPool
from service.http.weldment_files.sent_file import SentFile
from service.settings import Settings
from tests.service.asked import DEMO_STOCK, asked
from tests.service.http.conftest import House, opened
from tests.service.page.weldments.describing import BROWSER, OURS, Describer

BODY = {"id": "handle", "section": {"shape": "body", "outline": [[0, 0], [20, 0], [20, 20], [0, 20]]}, "length": 40}
POSE = {"at": [240, -10, 68], "along": [0, 0, 1], "up": [0, 1, 0]}


@pytest.fixture(scope="module")
def keeper(tmp_path_factory: pytest.TempPathFactory) -> Iterator[House]:
    """A house that keeps its stock, and weldments, in its store."""
    yield from opened(tmp_path_factory.mktemp("keeper"), Settings(), shelf=DEMO_STOCK)


@pytest.fixture
def asked_of(monkeypatch: pytest.MonkeyPatch) -> list[SentFile]:
    """The files that are read, each as one with two parts and a body that is no part."""
    seen: list[SentFile] = []
    third = {**READING["bodies"][2], "outcome": "body", "part": "handle", "words": "outer body 20 x 20 x 40 mm"}
    weldment = {**READING["weldment"], "parts": [*READING["weldment"]["parts"], {**BODY, "pose": POSE}]}
    answer = {**READING, "bodies": [*READING["bodies"][:2], third], "undecided": [], "weldment": weldment}

    async def read(self: ReadingPool, file: SentFile, *, drawn: bool = False) -> bytes:
        seen.append(file)
        return json.dumps(answer).encode()

    monkeypatch.setattr(ReadingPool, "read", read)
    return seen


def hidden(text: str) -> dict[str, str]:
    found = re.findall(r'<input type="hidden" name="(\w+)" value="([^"]*)"', text)
    return {name: html.unescape(value) for name, value in found}


def request_of(house: House, draft: str) -> dict[str, Any]:
    asked: dict[str, Any] = house.call("GET", f"{draft}/ask/request.json", headers=BROWSER).json()
    return asked


def kept(house: House, draft: str, id: str, **fields: str) -> Any:
    form = {"id": id, "why": "as read", "who": "ann", "once": f"{draft}{id}{len(fields)}", **fields}
    return house.call("POST", f"{draft}/store", data=form, headers=OURS)


def test_a_file_is_shown_and_its_odd_bodies_are_asked_about(keeper: House, asked_of: list[SentFile]) -> None:
    file = {"file": ("post.step", b"ISO-10303-21;")}
    screen = keeper.call("POST", "/weldments/file", files=file, data={"units": "mm", "material": ""}, headers=OURS)
    assert screen.status_code == 200, screen.text
    assert (asked_of[0].words, asked_of[0].name) == ({"units": ["mm"], "as_body": ["*"]}, "post.step")
    for words in ("3 bodies, 2 parts recognised", "face 4 is neither flat nor a cylinder", "is left out", "Start with 3 parts"):
        assert words in screen.text
    whole = keeper.call("POST", "/weldments", data=hidden(screen.text), headers=OURS).headers["Location"]
    assert [part["id"] for part in request_of(keeper, whole)["weldment"]["parts"]] == ["post", "tab", "handle"]
    less = keeper.call("POST", "/weldments", data={**hidden(screen.text), "body-3": "part:handle"}, headers=OURS)
    draft = less.headers["Location"]
    request = request_of(keeper, draft)
    assert [part["id"] for part in request["weldment"]["parts"]] == ["post", "tab"] and "origin" not in request
    assert kept(keeper, draft, "read post").status_code == 303
    (version,) = keeper.call("GET", "/v1/weldments/read post/versions").json()["versions"]
    assert (version["source"]["name"], version["source"]["kind"], version["by"]) == ("post.step", "step", "ann")


def test_what_cannot_be_read_is_told_at_its_field(keeper: House) -> None:
    for data, file, wrong in (
        ({"units": "mile"}, b"ISO-10303-21;", "is not known here"),
        ({"thickness_mm": "x"}, b"ISO-10303-21;", "is not a number"),
        ({"colour": "red"}, b"ISO-10303-21;", "there is no part"),
    ):
        answer = keeper.call("POST", "/weldments/file", files={"file": ("a.step", file)}, data=data, headers=OURS)
        assert answer.status_code == 422 and wrong in answer.text
    for form in ({"weldment": "["}, {"weldment": "{}"}, {"weldment": ""}):
        assert keeper.call("POST", "/weldments", data={"from": "file", **form}, headers=OURS).status_code == 422


def test_a_draft_is_kept_and_its_next_version_too(keeper: House) -> None:
    first = keeper.call("POST", "/weldments", data={"from": "text", "text": json.dumps(WELDMENT)}, headers=OURS).headers[
        "Location"
    ]
    assert "Keep as a stored weldment" in keeper.call("GET", first, headers=BROWSER).text
    assert kept(keeper, first, "gate post").status_code == 303
    assert request_of(keeper, first)["weldment"]["stored"]["version"] == 1
    assert "gate post" in keeper.call("GET", "/weldments", headers=BROWSER).text
    begun = keeper.call("POST", "/weldments", data={"from": "stored", "stored": "gate post"}, headers=OURS)
    second = Describer(keeper, begun.headers["Location"])
    assert request_of(keeper, second.address)["weldment"]["stored"]["version"] == 1
    second.do("name", weldment_name="taller post")
    assert "stored" not in request_of(keeper, second.address)["weldment"]
    assert "the version after 1" in keeper.call("GET", f"{second.address}/store", headers=BROWSER).text
    assert kept(keeper, second.address, "gate post").status_code == 303
    assert request_of(keeper, second.address)["weldment"]["stored"]["version"] == 2
    # Whoever still has version 1 overwrites nothing.
    Describer(keeper, first, step=2).do("name", weldment_name="another post")
    late = kept(keeper, first, "gate post", again="yes")
    assert late.status_code == 409 and "version 2 of" in late.text
    assert kept(keeper, first, "seams").status_code == 422
    assert keeper.call("POST", "/weldments", data={"from": "stored", "stored": "gaet post"}, headers=OURS).status_code == 422


def test_an_earlier_job_of_a_stored_weldment_starts_a_draft_of_it(keeper: House) -> None:
    stored = keeper.call("PUT", "/v1/weldments/hinge?who=ann", json=WELDMENT).json()
    named = {"id": "hinge", "version": 1, "fingerprint": stored["fingerprint"]}
    request = {"format": "holdwright.request/1", "quantity": 3, "tables": ["T1"], "weldment": {**WELDMENT, "stored": named}}
    text = {"from": "text", "text": json.dumps(request)}
    draft = keeper.call("POST", "/weldments", data=text, headers=OURS).headers["Location"]
    assert request_of(keeper, draft)["weldment"] == {**WELDMENT, "stored": named}


def test_a_job_says_which_stored_weldment_it_is_for(keeper: House) -> None:
    request = asked("plain")
    assert keeper.call("PUT", "/v1/weldments/plain tab?who=ann", json=request["weldment"]).status_code == 201
    job = keeper.call("POST", "/v1/plans", json={**request, "weldment": {"id": "plain tab"}}).json()
    keeper.call("DELETE", f"/v1/plans/{job['id']}", headers={"Prefer": "wait=10"})
    screen = keeper.call("GET", f"/jobs/{job['id']}", headers=BROWSER).text
    assert "plain tab, version 1" in screen
