"""The drawing is sound SVG, to scale, says what it shows, and is the same every time."""

from __future__ import annotations

import xml.etree.ElementTree as ET
from dataclasses import replace

import pytest

from service.drawings.scene import DrawnWeld, scene
from service.drawings.top_view import top_view
from solver.request import Request
from tests.service.drawings.example import question, subject

SVG = "{http://www.w3.org/2000/svg}"


@pytest.fixture(scope="module")
def drawing() -> ET.Element:
    return ET.fromstring(top_view(scene(subject())))


def words(drawing: ET.Element) -> list[str]:
    return [node.text or "" for node in drawing.iter(f"{SVG}text")]


def box(node: ET.Element) -> tuple[float, float]:
    """Width and height of a path."""
    points = [
        tuple(map(float, pair.split(","))) for pair in node.attrib["d"].replace("M", "").replace("L", "").replace("Z", "").split()
    ]
    xs, ys = zip(*points, strict=True)
    return max(xs) - min(xs), max(ys) - min(ys)


def titled(drawing: ET.Element, start: str) -> ET.Element:
    return next(g for g in drawing.iter(f"{SVG}g") if (g.findtext(f"{SVG}title") or "").startswith(start))


def test_it_has_a_title_and_a_description_for_those_who_cannot_see_it(drawing: ET.Element) -> None:
    assert drawing.attrib["role"] == "img"
    assert drawing.attrib["aria-labelledby"] == "title desc"
    assert drawing.findtext(f"{SVG}title") == "bars in line: Rank 1: cheapest"
    assert "2 parts, 1 welds, 6 pieces of hardware" in (drawing.findtext(f"{SVG}desc") or "")


def test_every_piece_is_listed_with_its_hole_turn_and_setting(drawing: ET.Element) -> None:
    cells = words(drawing)
    listed = cells[cells.index("does") + 1 :]
    assert listed[:5] == ["p1", "stop", "D4", "0°", ""]
    row = listed.index("p4")
    assert listed[row : row + 6] == ["p4", "clamp", "F6", "180°", "5 mm", "clamps"]
    assert listed.index("p5") < listed.index("p10")


def test_it_is_drawn_to_scale(drawing: ET.Element) -> None:
    bar = box(titled(drawing, "part bar-1").find(f"{SVG}path"))  # type: ignore[arg-type]
    stop = box(titled(drawing, "p1:").find(f"{SVG}path"))  # type: ignore[arg-type]
    assert bar[0] / bar[1] == pytest.approx(200 / 50, rel=1e-3)
    assert bar[0] / stop[0] == pytest.approx(200 / 28, rel=2e-3)


def test_sizes_and_place_are_written_out(drawing: ET.Element) -> None:
    cells = words(drawing)
    assert "400.0" in cells and "50.0" in cells
    assert "lies 95.0 right of and 135.0 above the centre of hole A1" in cells


def test_a_blocked_hole_says_so(drawing: ET.Element) -> None:
    assert titled(drawing, "hole B3, blocked") is not None


def test_an_upright_weld_is_a_dot() -> None:
    shown = scene(subject())
    upright = replace(shown, welds=(DrawnWeld("w1", ((300.0, 200.0), (300.0, 200.0))),))
    assert titled(ET.fromstring(top_view(upright)), "weld w1").find(f"{SVG}circle") is not None
    assert titled(ET.fromstring(top_view(shown)), "weld w1").find(f"{SVG}circle") is None


def test_names_cannot_break_out_of_the_drawing() -> None:
    asked = question()
    hostile = Request(replace(asked.weldment, name='<script>alert("x")</script> & co'), 1, ("T1",))
    drawn = ET.fromstring(top_view(scene(subject(request=hostile))))
    assert not list(drawn.iter(f"{SVG}script"))
    assert '<script>alert("x")</script> & co' in words(drawn)


def test_the_same_plan_gives_the_same_bytes() -> None:
    assert top_view(scene(subject())) == top_view(scene(subject()))
