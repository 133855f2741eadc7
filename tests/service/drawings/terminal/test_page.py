"""The page of a terminal holds drawing and lists, coloured only where colour is wanted, in ASCII where no more is taken."""

from __future__ import annotations

import io
from dataclasses import replace

import pytest
from rich.console import Console

from service.drawings.terminal import as_text, print_setup
from solver.plans import Change, LoadStep, Move, Station, Unload
from tests.service.drawings.example import SHIFT, alternative, subject

HEADINGS = ["pieces, in the order they are placed", "kit, by bin", "load order, and the way out"]


def printed(width: int = 100, encoding: str = "utf-8", **more: object) -> str:
    raw = io.BytesIO()
    stream = io.TextIOWrapper(raw, encoding=encoding)
    print_setup(subject(), Console(file=stream, width=width, **more))  # type: ignore[arg-type]
    stream.flush()
    return raw.getvalue().decode(encoding)


def test_drawing_pieces_kit_and_load_order_stand_below_each_other() -> None:
    lines = printed().splitlines()
    assert lines[0] == "bars in line: 2 parts, 1 welds, 7 off; rank 1, cheapest, on table T1"
    assert [line for line in lines if line in HEADINGS] == HEADINGS
    assert lines[-1].strip() == "out: open p4; weldment"


def test_ways_in_and_out_are_told_to_someone_at_the_tables_front() -> None:
    ways = (Move((0.0, 0.6, -0.8), 50.0), Move((-1.0, 0.0, 0.0), 12.5))
    out = Station(None, "-z", 0.0, SHIFT, Unload(("p3",), ("p4",), (Move((0.0, 0.0, 1.0), 150.0),), 3.25, True))
    step = LoadStep("bar-1", ways, ("p4",), hold_by_hand="until p4 is shut", mass_kg=2.0)
    told = as_text(subject(replace(alternative(), load=(step,), stations=(out,)))).splitlines()[-2:]
    assert told == [
        "1  in: bar-1, 2.0 kg; away 30 mm and down 40 mm, then left 12.5 mm; UNSTABLE, hold by hand until p4 is shut; shut p4",
        "   out: open p4; pull p3; weldment, 3.2 kg, HEAVY: lift it with help; up 150 mm",
    ]


@pytest.mark.parametrize("width", [80, 100, 200])
def test_no_line_is_wider_than_the_terminal(width: int) -> None:
    assert all(len(line) <= width for line in printed(width).splitlines())


def test_a_terminal_of_ascii_gets_ascii() -> None:
    assert printed(80, "ascii").isascii()


def test_colour_is_for_terminals_that_want_it(monkeypatch: pytest.MonkeyPatch) -> None:
    for name in ("NO_COLOR", "FORCE_COLOR", "COLORTERM"):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setenv("TERM", "xterm")
    assert "\x1b[" not in printed()
    assert "\x1b[36m" in printed(force_terminal=True)
    monkeypatch.setenv("FORCE_COLOR", "1")
    assert "\x1b[36m" in printed()
    monkeypatch.setenv("NO_COLOR", "1")
    assert "[36m" not in printed() and "34m" not in printed()


def test_the_words_are_the_same_without_colour() -> None:
    import re

    assert re.sub(r"\x1b\[[0-9;]*m", "", printed(force_terminal=True)) == printed(no_color=True)


def test_the_text_of_a_re_plan_ends_with_its_steps() -> None:
    change = Change("move", "p2", "stop", "C7", "C9", 90.0, None, "hole C7 is blocked")
    lines = as_text(subject(replace(alternative(), changes=(change,)))).splitlines()
    assert lines[-3] == "from what stands" and lines[-1].split()[:4] == ["1", "move", "p2", "stop"]
    assert "from what stands" not in as_text(subject())
