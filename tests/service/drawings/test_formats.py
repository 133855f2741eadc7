"""Every format there is gives the file of any plan, the same every time, under its own name and media type."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import pypdfium2
import pytest

from service.documents.plan_document import alternative_document, read_alternative
from service.drawings.formats import FORMATS, Format
from service.errors import NotInstalled
from solver.plans import Change, LoadStep
from tests.service.drawings.example import alternative, subject
from tests.service.drawings.hostile import hostile_subject

ROOT = Path(__file__).parents[3]
AVAILABLE = [format for format in FORMATS.values() if format.available]
SHEETS = [format for format in FORMATS.values() if format.sheet]
DIGESTS = """
import hashlib
from service.drawings.formats import FORMATS
from tests.service.drawings.example import subject
for format in FORMATS.values():
    if format.available:
        print(format.name, hashlib.sha256(format.content(subject())).hexdigest())
"""
each_available = pytest.mark.parametrize("format", AVAILABLE, ids=[format.name for format in AVAILABLE])


@each_available
def test_a_format_gives_the_same_bytes_every_time(format: Format) -> None:
    content = format.content(subject())
    assert content and content == format.content(subject())


@each_available
def test_a_plan_read_back_from_its_document_gives_the_same_bytes(format: Format) -> None:
    whole = replace(alternative(), placements=tuple(replace(one, turn=float(one.turn)) for one in alternative().placements))
    read_back = read_alternative(json.loads(json.dumps(alternative_document(whole))))
    assert format.content(subject(read_back)) == format.content(subject(whole))


@pytest.mark.slow
def test_another_process_gives_the_same_bytes() -> None:
    printed = [
        subprocess.run(
            [sys.executable, "-c", DIGESTS], cwd=ROOT, env={**os.environ, "PYTHONPATH": str(ROOT), "PYTHONHASHSEED": seed},
            capture_output=True, text=True, check=True,
        ).stdout
        for seed in ("1", "4")
    ]  # fmt: skip
    assert len(set(printed)) == 1
    assert [line.split()[0] for line in printed[0].splitlines()] == [format.name for format in AVAILABLE]


@each_available
def test_any_name_can_be_drawn(format: Format) -> None:
    assert format.content(hostile_subject()) == format.content(hostile_subject())


def test_a_format_whose_library_is_not_there_is_not_available(monkeypatch: pytest.MonkeyPatch) -> None:
    step = FORMATS["step"]
    monkeypatch.setitem(sys.modules, step.needs, None)
    assert not replace(step, needs="no_such_library").available
    with pytest.raises(NotInstalled, match=r"pip install 'holdwright\[exchange\]'"):
        step.content(subject())


def test_no_two_formats_share_a_name_or_a_suffix() -> None:
    assert [format.name for format in FORMATS.values()] == list(FORMATS)
    assert len({format.suffix for format in FORMATS.values()}) == len(FORMATS)


def test_text_is_the_view_of_the_terminal_without_its_colours() -> None:
    text = FORMATS["txt"].content(subject()).decode()
    assert "\x1b" not in text
    assert all(len(line) <= 120 for line in text.splitlines())
    lines = text.splitlines()
    head = next(number for number, line in enumerate(lines) if line.startswith("no  piece"))
    listed = [line.split()[:2] for line in lines[head + 1 : head + 7]]
    assert listed == [["1", "p1"], ["2", "p2"], ["3", "p3"], ["4", "p4"], ["5", "p5"], ["6", "p10"]]


def test_a_drawing_is_told_by_its_media_type() -> None:
    assert FORMATS["svg"].media_type == "image/svg+xml"
    assert FORMATS["svg"].content(subject()).startswith(b"<svg")


def test_people_work_by_the_sheet_the_drawing_and_the_text() -> None:
    assert {"pdf", "html", "svg", "txt"} == {format.name for format in SHEETS}


@pytest.mark.parametrize("format", SHEETS, ids=[format.name for format in SHEETS])
def test_every_sheet_tells_what_the_hands_do(format: Format) -> None:
    step = LoadStep("tube", (), ("p4",), hold_by_hand="until p4 is shut", mass_kg=31.25, heavy=True)
    change = Change("move", "p2", "stop-60", "C7", "C9", 90.0, None, "hole C7 is blocked")
    drawn = read(format, format.content(subject(replace(alternative(), load=(step,), changes=(change,)))))
    for words in ("31.2 kg", "HEAVY", "UNSTABLE, hold by hand", "hole C7 is blocked"):
        assert words in drawn


def read(format: Format, content: bytes) -> str:
    """Return what a person reads of a sheet, words that go on in the next line joined."""
    if format.name != "pdf":
        return content.decode()
    pages = [page.get_textpage().get_text_range() for page in pypdfium2.PdfDocument(content)]
    return " ".join(" ".join(pages).split())
