"""The top view in characters is readable at any width and in plain ASCII."""

from __future__ import annotations

from dataclasses import replace

import pytest

from service.drawings.scene import scene
from service.drawings.terminal.raster import FINE, PLAIN, Glyphs, key_line, top_view_lines
from tests.service.drawings.example import stock, subject


def shown(width: int, glyphs: Glyphs = FINE) -> list[str]:
    return [line.plain for line in top_view_lines(scene(subject()), glyphs, width)]


def row(lines: list[str], number: int) -> str:
    return next(line for line in lines if line.startswith(f"{number:>3} "))


def test_rows_and_columns_are_labelled_and_pieces_stand_in_their_holes() -> None:
    lines = shown(100)
    letters = lines[-1]
    assert letters.split()[:3] == ["B", "C", "D"]
    line = row(lines, 4)
    assert line.index("p1") == letters.index("D") - 1
    assert line.index("p2") == letters.index("G") - 1
    assert row(lines, 6).index("p4") == letters.index("F") - 1
    assert row(lines, 8).index("p10") == letters.index("J") - 1


def test_the_stack_shows_its_top_piece() -> None:
    assert not any("p5" in line for line in shown(100))


def test_the_weld_crosses_the_bars() -> None:
    assert "#" in row(shown(100), 5)


def test_a_blocked_hole_is_crossed() -> None:
    assert "✕" in row(shown(100), 3)


def test_the_plain_set_needs_no_more_than_ascii() -> None:
    lines = shown(80, PLAIN)
    assert "L" in row(lines, 4) and "." in row(lines, 4)
    assert all(line.isascii() for line in [*lines, key_line(PLAIN).plain])


@pytest.mark.parametrize("width", [60, 80, 100, 200])
def test_no_line_of_the_drawing_is_wider_than_the_terminal(width: int) -> None:
    assert all(len(line) <= width for line in shown(width))


def test_a_table_with_more_holes_than_characters_is_drawn_whole() -> None:
    fine = stock().tables["T1"]
    plate = replace(fine, pitch=5.0, hole_diameter=3.0, size=(1100.0, 600.0), columns=200, rows=100, blocked_holes=frozenset())
    whole = replace(scene(subject()), table=plate)
    lines = [line.plain for line in top_view_lines(whole, FINE, 80)]
    assert all(len(line) <= 80 for line in lines)
    assert any("p10" in line for line in lines) and any("p1" in line and "p10" not in line for line in lines)


def test_bodies_are_told_apart_without_colour() -> None:
    for glyphs in (FINE, PLAIN):
        bodies = [glyphs.hole, glyphs.blocked, glyphs.part, glyphs.locator, glyphs.clamp, glyphs.carrier, glyphs.weld]
        assert len(set(bodies)) == len(bodies)
        assert all(one in key_line(glyphs).plain for one in bodies)
