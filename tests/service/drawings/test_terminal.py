"""The terminal's top view is readable at any width and in plain ASCII."""

from __future__ import annotations

import io

import pytest
from rich.console import Console

from service.drawings.scene import scene
from service.drawings.terminal import print_top_view
from tests.service.drawings.example import subject


def shown(width: int, encoding: str = "utf-8") -> list[str]:
    raw = io.BytesIO()
    stream = io.TextIOWrapper(raw, encoding=encoding)
    print_top_view(scene(subject()), Console(file=stream, width=width, no_color=True))
    stream.flush()
    return raw.getvalue().decode(encoding).splitlines()


def row(lines: list[str], number: int) -> str:
    return next(line for line in lines if line.startswith(f"{number:>3} "))


def test_rows_and_columns_are_labelled_and_pieces_stand_in_their_holes() -> None:
    lines = shown(100)
    letters = next(line for line in lines if line.split()[:3] == ["B", "C", "D"])
    line = row(lines, 4)
    assert line.index("p1") == letters.index("D") - 1
    assert line.index("p2") == letters.index("G") - 1
    assert row(lines, 6).index("p4") == letters.index("F") - 1
    assert row(lines, 8).index("p10") == letters.index("J") - 1


def test_the_stack_shows_its_top_piece() -> None:
    assert not any("p5" in line for line in shown(100)[:-8])


def test_the_weld_crosses_the_bars() -> None:
    assert "#" in row(shown(100), 5)


def test_a_blocked_hole_is_crossed() -> None:
    assert "✕" in row(shown(100), 3)


def test_plain_terminals_get_ascii() -> None:
    lines = shown(80, "ascii")
    assert "L" in row(lines, 4) and "." in row(lines, 4)


@pytest.mark.parametrize("width", [60, 80, 100, 200])
def test_no_line_of_the_drawing_is_wider_than_the_terminal(width: int) -> None:
    assert all(len(line) <= width for line in shown(width))


def test_every_piece_is_listed_in_the_order_it_was_counted() -> None:
    lines = shown(140)
    start = next(k for k, line in enumerate(lines) if line.startswith("piece"))
    assert [line.split()[0] for line in lines[start + 1 : start + 7]] == ["p1", "p2", "p3", "p4", "p5", "p10"]
