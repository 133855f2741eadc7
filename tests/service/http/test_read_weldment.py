"""`POST /v1/weldments/read`: forms, files alone, and what is refused."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator
from typing import Any

import httpx
import pytest

from service.errors import TaskDied, TaskOverdue
from service.exchange.weldments.child import reading
from service.exchange.weldments.readers import FileReader
from service.exchange.weldments.reading_document import read_reading
from service.http.weldment_files import reading_task, sent_file
from service.http.weldment_files.reading_pool import ReadingPool
from service.planning_jobs.worker_pool import WorkerPool
from tests.service.exchange.weldments.child import small_reader
from tests.service.http.shop import Shop

ADDRESS = "/v1/weldments/read"
LIST = b"do,with\n"


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Shop]:
    """A shop whose reading processes are this one: what they read with is the tests'."""
    readers = {"csv": FileReader("csv", (".csv",), ("text/csv",), small_reader.HOME)}

    async def here(self: WorkerPool, what: str, task: Callable[..., Any], args: tuple[Any, ...], limit_s: float) -> Any:
        if args[0].name == "overdue.csv":
            raise TaskOverdue("the reading took longer than 1 s")
        if args[0].name == "dead.csv":
            raise TaskDied("the reading", -9)
        return task(*args)

    with pytest.MonkeyPatch.context() as patch:
        for module in (reading, reading_task, sent_file):
            patch.setattr(module, "READERS", readers)
        patch.setattr(WorkerPool, "answer", here)
        shop = Shop(f"sqlite:///{tmp_path_factory.mktemp('shop') / 'shop.sqlite3'}", read_file_mb=1)
        yield shop
        for loaded in reading_task._loaded:
            loaded.stop()
        reading_task._loaded.clear()
        shop.store.close()


def form(
    *parts: tuple[str, bytes], file: bytes | None = LIST, filename: str = "gate.csv", boundary: str = "line", **headers: str
) -> dict[str, Any]:
    """What a request says that sends a form."""
    body = b""
    if file is not None:
        body += f'--{boundary}\r\nContent-Disposition: form-data; name="file"; filename="{filename}"\r\n'.encode()
        body += b"Content-Type: text/csv\r\n\r\n" + file + b"\r\n"
    for name, value in parts:
        body += f'--{boundary}\r\nContent-Disposition: form-data; name="{name}"\r\n\r\n'.encode() + value + b"\r\n"
    return {
        "content": body + f"--{boundary}--\r\n".encode(),
        "headers": {"Content-Type": f"multipart/form-data; boundary={boundary}", **headers},
    }


def faults(answer: httpx.Response, status: int = 422) -> list[tuple[str, str]]:
    assert answer.status_code == status, answer.text
    assert answer.headers["content-type"] == "application/problem+json"
    return [(fault["pointer"], fault["wrong"]) for fault in answer.json().get("faults", ())]


def test_a_file_in_a_form_is_read_with_what_is_said_of_it(shop: Shop) -> None:
    answer = shop.ask("POST", ADDRESS, **form(("units", b"inch"), ("leave_out", b"handle"), ("name", "Tor \u00e4".encode())))
    assert answer.status_code == 200, answer.text
    found = read_reading(answer.content, 1_000_000)
    assert (found.name, found.units, found.undecided) == ("Tor \u00e4", "inch", ())
    assert answer.json()["weldment"]["parts"][0]["id"] == "post"


def test_a_file_alone_is_read_too_and_drawn_for_who_prefers_a_picture(shop: Shop) -> None:
    headers = {"Content-Type": "text/csv", "Accept": "image/svg+xml"}
    answer = shop.ask("POST", f"{ADDRESS}?name=gate&as_body=handle", content=LIST, headers=headers)
    assert answer.status_code == 200, answer.text
    assert answer.headers["content-type"] == "image/svg+xml" and "sandbox" in answer.headers["content-security-policy"]
    assert "? handle" in answer.text  # the tests' reader makes no outer bodies


def test_faults_stand_where_they_were_said(shop: Shop) -> None:
    assert faults(shop.ask("POST", ADDRESS, **form(file=b"do,with\nfault,\n"))) == [("/file/rows/3", "is wrong")]
    assert faults(shop.ask("POST", ADDRESS, **form(("units", b"yard"), ("gap_mm", b"-1")))) == [
        ("/form/units", "'yard' is not known here"), ("/form/gap_mm", "-1 mm is out of range"),
    ]  # fmt: skip
    assert faults(shop.ask("POST", ADDRESS, **form(("layer_thickness", b"CUT=x"), ("thickness_mm", b"")))) == [
        ("/form/layer_thickness", "'x' is not a number")
    ]
    assert faults(shop.ask("POST", ADDRESS, **form(("as_body", b"handel")))) == [
        ("/form/as_body", "there is no body 'handel' in the file")
    ]
    assert faults(shop.ask("POST", f"{ADDRESS}?units=yard", content=LIST, headers={"Content-Type": "text/csv"})) == [
        ("/query/units", "'yard' is not known here")
    ]
    zipped = shop.ask("POST", ADDRESS, **form(file=b"PK\x03\x04...", filename="../../etc/x.csv"))
    assert faults(zipped) == [("/file", "the file is a zip archive, though it is called 'x.csv'")]


@pytest.mark.parametrize(
    ("asked", "status", "says"),
    [
        (form(file=None), 422, "there is no file"),
        (form(("file", b"x")), 422, "2 files"),
        (form(("units", b"mm"), ("units", b"mm")), 422, "is given twice"),
        (form(("odd\x1b[2J", b"1")), 422, "there is no part"),
        (form(("name", b"\xff")), 422, "the text is not UTF-8"),
        (form(("name", b"x" * 5000)), 422, "5,000 bytes"),
        (form(*[("as_body", b"x")] * 600), 400, "more than 500 parts"),
        ({"content": b"x", "headers": {"Content-Type": "multipart/form-data"}}, 400, "names no boundary"),
        ({"content": b"x", "headers": {"Content-Type": "multipart/form-data; boundary=" + "b" * 200}}, 400, "names no boundary"),
        ({"content": b"no form", "headers": {"Content-Type": "multipart/form-data; boundary=line"}}, 400, "cannot be taken apart"),
        ({"content": form()["content"][:-12], "headers": form()["headers"]}, 400, "ends before its last boundary"),
        ({"content": b"--line\r\n" + b"X: y\r\n" * 2000, "headers": form()["headers"]}, 400, "cannot be taken apart"),
        ({"content": b"--line\r\nX" + b"x" * 9000, "headers": form()["headers"]}, 400, "cannot be taken apart"),
        (form(file=b"x" * 1_000_001), 413, "at most 1,000,000 bytes"),
        (form(file=b"x" * 1_300_001), 413, "at most 1,200,000 bytes"),
        ({"content": b"{}", "headers": {"Content-Type": "application/json"}}, 415, "multipart/form-data"),
        (form(filename="overdue.csv"), 503, "took longer than 1 s"),
        (form(filename="dead.csv"), 500, "ended with exit code -9"),
        (form(("units", b"mm")) | {"params": {"units": "mm"}}, 422, "is said beside a form"),
    ],
    ids=lambda value: str(value) if isinstance(value, int | str) else "",
)  # fmt: skip
def test_what_is_no_form_with_a_file_is_refused(shop: Shop, asked: dict[str, Any], status: int, says: str) -> None:
    answer = shop.ask("POST", ADDRESS, **asked)
    assert (answer.status_code, says in json.dumps(answer.json(), ensure_ascii=False)) == (status, True), answer.text


def test_no_more_files_are_read_at_a_time_than_may(shop: Shop) -> None:
    pool: ReadingPool = shop.app.state.context.readings
    pool._asked.taken = 4
    answer = shop.ask("POST", ADDRESS, **form())
    pool._asked.taken = 0
    assert (answer.status_code, answer.headers["retry-after"]) == (503, "5")
    assert shop.ask("POST", ADDRESS, **form()).status_code == 200


def test_names_lead_to_no_folder() -> None:
    assert [sent_file._plain(name) for name in ("../a.step", "C:\\x\\b.dxf", "/etc/passwd", "a\x00\r\n.csv")] == [
        "a.step", "b.dxf", "passwd", "a\\x00\\r\\n.csv",
    ]  # fmt: skip
