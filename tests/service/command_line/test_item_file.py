"""`holdwright stock read`: marks to start with, the item, its picture; nothing useless is written."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from service.command_line import item_file
from service.command_line.exit_code import run
from service.command_line.item_file import ItemFile, read_item_file
from service.documents import read_item
from service.exchange.weldments.weldment_reading import WeldmentReading
from tests.service.exchange.items.drawn_stop import marks, stop_file


@pytest.fixture
def file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A file that is read as the drawn stop."""

    def read(content: bytes, name: str, options: Any, **more: Any) -> WeldmentReading:
        assert (content, name, options.as_bodies) == (b"drawn", "own.step", ("*",))
        return stop_file()

    monkeypatch.setattr(item_file, "read_weldment_file", read)
    (tmp_path / "own.step").write_bytes(b"drawn")
    (tmp_path / "marks.json").write_text(json.dumps(marks()))
    return tmp_path / "own.step"


def test_an_item_is_written_and_drawn(file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out, picture = file.with_name("item.json"), file.with_name("item.svg")
    assert run(lambda: read_item_file(ItemFile(file, file.with_name("marks.json"), out, picture), False)) == 0
    item = read_item(out.read_bytes())
    assert (item.id, len(item.solids), item.contacts[0].at) == ("own-40", 2, (0, 25, 30))
    assert "Our stop" in picture.read_text() and "adjustable stop, 1 peg, 1 pad" in picture.read_text()
    printed = capsys.readouterr().out.splitlines()
    assert printed[0] == "own-40: adjustable stop, 0.565 kg, 1 pad"
    assert printed[-1] == f"written: {out}"
    assert "good: pad 1: it lies 0 mm before the face of solid 2 along its normal" in printed


def test_a_useless_item_is_not_written(file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out = file.with_name("item.json")
    file.with_name("marks.json").write_text(json.dumps(marks(pads=[{"solid": "base", "normal": [0, 1, 0]}])))
    assert run(lambda: read_item_file(ItemFile(file, file.with_name("marks.json"), out), False)) == 1
    printed = capsys.readouterr()
    assert "wrong: pad 1: the piece itself stands before it: no part can meet it" in printed.out
    assert printed.err == f"the item is useless as it is; {out} was not written\n"
    assert not out.exists()


def test_the_result_as_json(file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(lambda: read_item_file(ItemFile(file, file.with_name("marks.json")), True)) == 0
    told = json.loads(capsys.readouterr().out)
    assert (told["format"], told["sound"], told["item"]["id"]) == ("holdwright.item-reading/1", True, "own-40")


def test_marks_are_started(file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    start = file.with_name("start.json")
    assert run(lambda: read_item_file(ItemFile(file, start=start), False)) == 0
    assert [pad["solid"] for pad in json.loads(start.read_text())["pads"]] == ["stop/base", "stop/slider", "stop/peg"]
    assert "own.step: 3 solids" in capsys.readouterr().out


def test_faults_stand_where_they_are(file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(lambda: read_item_file(ItemFile(file), False)) == 2
    assert "--marks: is missing: a CAD file alone does not say what a pad is" in capsys.readouterr().err
    file.with_name("marks.json").write_text(json.dumps(marks(moves=["slidr"], turns="any", pegs=[[0, 0], [1, 0]])))
    assert run(lambda: read_item_file(ItemFile(file, file.with_name("marks.json")), False)) == 2
    assert "marks.json#/moves/0: the file has no solid 'slidr'; accepted:" in capsys.readouterr().err
