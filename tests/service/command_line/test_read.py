"""`holdwright read`: what it prints, writes and asks for."""

from __future__ import annotations

import json
from collections.abc import Iterator
from functools import partial
from pathlib import Path

import pytest

from service.command_line import read_file as command
from service.command_line.exit_code import read_from, run
from service.command_line.read_file import FileToRead, read_file
from service.documents import read_weldment
from service.errors import NotInstalled
from service.exchange.weldments.child import reading
from service.exchange.weldments.child.loaded_process import LoadedProcess
from service.exchange.weldments.readers import FileReader
from service.exchange.weldments.reading_document import read_reading
from tests.commands import holdwright
from tests.service.exchange.weldments.child import small_reader

READERS = {"csv": FileReader("csv", (".csv",), ("text/csv",), small_reader.HOME)}


@pytest.fixture(scope="module")
def process() -> Iterator[LoadedProcess]:
    loaded = LoadedProcess(READERS.values())
    yield loaded
    loaded.stop()


@pytest.fixture
def file(process: LoadedProcess, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setattr(reading, "READERS", READERS)
    monkeypatch.setattr(command, "read_weldment_file", partial(reading.read_weldment_file, child=process))
    made = tmp_path / "gate.csv"
    made.write_text("do,with\n")
    return made


def test_what_the_user_has_to_say_is_asked_for_and_nothing_written(file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out, report = file.with_name("weldment.json"), file.with_name("reading.json")
    assert read_file(FileToRead(file, out, report), as_json=False) == 1
    printed = capsys.readouterr()
    assert printed.out.splitlines() == [
        "gate.csv: CSV, lengths in mm; 3 bodies: 2 parts, 1 not recognised",
        "no  body        part  what it is                                   off by",
        " 1  frame/post  post  square tube 50 x 50 x 3, 600 mm  0.01 mm, +0.0001 %",
        " 2  frame/lug   lug   flat bar 40 x 8, 120 mm",
        " 3  handle            not recognised",
        "said of the file",
        "handle: bent (solid 3, face 4 at 1, 2, 3)",
    ]
    assert printed.err == "say what becomes of it: --as-body handle (takes up room as its outer body) or --leave-out handle\n"
    assert not out.exists()
    assert [body.name for body in read_reading(report.read_bytes(), 100_000).undecided] == ["handle"]


def test_once_all_is_said_the_weldment_is_written(file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out = file.with_name("weldment.json")
    assert read_file(FileToRead(file, out, name="a gate", leave_out=["handle"]), as_json=True) == 0
    weldment = read_weldment(out.read_bytes())
    assert (weldment.name, [part.id for part in weldment.parts]) == ("a gate", ["post", "lug"])
    assert json.loads(capsys.readouterr().out)["bodies"][2]["outcome"] == "left_out"


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["--units", "yard"], "--units: 'yard' is not known here; accepted: one of mm, cm, m, inch, foot"),
        (["--layer-thickness", "8"], "--layer-thickness: '8' is no layer with a thickness; accepted: LAYER=MM, such as CUT=8"),
        (["--gap", "-1"], "--gap: -1 mm is out of range; accepted: a number from 0 to 20000 mm"),
        ([], "pipe.step: the file is empty; accepted: a STEP file, which begins with ISO-10303-21;"),
    ],
)  # fmt: skip
def test_bad_input_is_refused_by_option_or_file(tmp_path: Path, words: list[str], said: str) -> None:
    (tmp_path / "pipe.step").touch()
    done = holdwright("read", "pipe.step", *words, cwd=tmp_path)
    assert (done.returncode, done.stderr) == (2, said + "\n")


def test_a_body_that_is_not_there_is_named(file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(lambda: read_file(FileToRead(file, as_body=["handel"]), as_json=False)) == 2
    said = "--as-body: there is no body 'handel' in the file; accepted: a body of it; did you mean 'handle'?\n"
    assert capsys.readouterr().err == said


def test_a_library_that_is_missing_is_said_with_what_brings_it_and_nothing_else(capsys: pytest.CaptureFixture[str]) -> None:
    def act() -> None:
        with read_from("frame.step"):
            raise NotInstalled("STEP files", "exchange")

    assert run(act) == 2
    assert capsys.readouterr().err == "STEP files need a library that is not installed: pip install 'holdwright[exchange]'\n"
