"""`POST /v1/items/read`: a form with a file and marks; the item and what was found, or a picture; what is refused."""

from __future__ import annotations

import json
from collections.abc import Iterator
from typing import Any

import pytest

from service.documents import read_item
from service.exchange.weldments.reading_document import reading_document
from service.http.weldment_files.reading_pool import ReadingPool
from service.http.weldment_files.sent_file import SentFile
from tests.service.exchange.items.drawn_stop import marks, stop_file
from tests.service.http.shop import Shop

ADDRESS = "/v1/items/read"


@pytest.fixture(scope="module")
def door(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Shop]:
    """A shop that reads every file as the drawn stop."""

    async def read(self: ReadingPool, file: SentFile, *, drawn: bool = False) -> bytes:
        assert file.options().as_bodies == ("*",) and not drawn
        return json.dumps(reading_document(stop_file())).encode()

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(ReadingPool, "read", read)
        shop = Shop(f"sqlite:///{tmp_path_factory.mktemp('shop') / 'shop.sqlite3'}", read_file_mb=1)
        yield shop
        shop.store.close()


def form(*parts: tuple[str, bytes], file: bytes = b"ISO-10303-21;", accept: str = "*/*") -> dict[str, Any]:
    """What a request says that sends a form."""
    named = [(name, value, "") for name, value in parts] + ([("file", file, '; filename="own.step"')] if file else [])
    body = b"".join(
        f'--line\r\nContent-Disposition: form-data; name="{name}"{more}\r\n\r\n'.encode() + value + b"\r\n"
        for name, value, more in named
    )
    return {
        "content": body + b"--line--\r\n",
        "headers": {"Content-Type": "multipart/form-data; boundary=line", "Accept": accept},
    }


def sent(**changes: Any) -> tuple[str, bytes]:
    return "marks", json.dumps(marks(**changes)).encode()


def test_a_file_and_its_marks_are_an_item_that_the_catalogue_takes(door: Shop) -> None:
    answer = door.ask("POST", ADDRESS, **form(sent(), ("units", b"mm")))
    assert answer.status_code == 200, answer.text
    told = answer.json()
    assert (told["format"], told["sound"]) == ("holdwright.item-reading/1", True)
    assert read_item(told["item"]).contacts[0].at == (0, 25, 30)
    assert door.ask("POST", "/v1/items", told["item"]).status_code == 201


def test_a_picture_is_answered_where_it_is_liked_better(door: Shop) -> None:
    answer = door.ask("POST", ADDRESS, **form(sent(mass_kg=9), accept="image/svg+xml"))
    assert (answer.headers["content-type"], answer.headers["Vary"]) == ("image/svg+xml", "Accept")
    assert "sandbox" in answer.headers["content-security-policy"]
    assert "told: item: 9 kg; its solids in steel come to 0.565 kg" in answer.text


def test_what_is_wrong_stands_in_the_form(door: Shop) -> None:
    def faults(*parts: tuple[str, bytes], **more: Any) -> list[str]:
        answer = door.ask("POST", ADDRESS, **form(*parts, **more))
        assert answer.status_code == 422, answer.text
        return [fault["pointer"] for fault in answer.json()["faults"]]

    assert faults(sent(moves=["slidr"])) == ["/form/marks/moves/0"]
    assert faults(("marks", b'{"format": "holdwright.marks/1"}'))[0].startswith("/form/marks/")
    assert faults(("marks", b"{")) == ["/form/marks"]
    assert faults(("name", b"x")) == ["/form/name", "/form/marks"]
    assert faults(sent(), file=b"") == ["/form/file"]
    assert faults(("marks", b" " * 100_001)) == ["/form/marks"]


def test_what_was_found_wrong_is_no_fault_of_the_request(door: Shop) -> None:
    told = door.ask("POST", ADDRESS, **form(sent(pads=[{"solid": "base", "normal": [0, 1, 0]}]))).json()
    assert told["sound"] is False and told["findings"][0]["code"] == "pad.free"
