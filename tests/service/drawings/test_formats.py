"""Every format there is gives the file of any plan, the same every time, under its own name and media type."""

from __future__ import annotations

from dataclasses import replace

import pytest

from service.drawings.formats import FORMATS, Format
from solver.plans import Change, LoadStep
from tests.service.drawings.example import alternative, subject


@pytest.mark.parametrize("format", FORMATS.values(), ids=list(FORMATS))
def test_a_format_gives_the_same_bytes_every_time(format: Format) -> None:
    content = format.content(subject())
    assert content and content == format.content(subject())


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


@pytest.mark.parametrize("format", FORMATS.values(), ids=list(FORMATS))
def test_every_format_tells_what_the_hands_do(format: Format) -> None:
    step = LoadStep("tube", (), ("p4",), hold_by_hand="until p4 is shut", mass_kg=31.25, heavy=True)
    change = Change("move", "p2", "stop-60", "C7", "C9", 90.0, None, "hole C7 is blocked")
    drawn = format.content(subject(replace(alternative(), load=(step,), changes=(change,)))).decode()
    for words in ("31.2 kg", "HEAVY", "UNSTABLE, hold by hand", "hole C7 is blocked"):
        assert words in drawn
