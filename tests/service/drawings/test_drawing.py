"""The drawing on one sheet: sound SVG, every body where the plan says, no word over another, none off the paper."""

from __future__ import annotations

import itertools
import re
import xml.etree.ElementTree as ET
from dataclasses import replace

import pytest

from inventory.tables import parse_hole
from service.drawings.drawing import as_svg, drawing
from service.drawings.paper.marks import Picture
from service.drawings.paper.svg import as_svg as written
from service.drawings.scene import scene
from service.drawings.subject import Subject
from tests.service.drawings.example import subject
from tests.service.drawings.kept import KEPT, drawn, inched, kept, renamed

SVG = "{http://www.w3.org/2000/svg}"
NAMES = ("W" * 200, "שלום עולם " * 20, "🔧" * 200, "<b>&amp;'\"", "a\u202eb" + "é" * 150)


def check_words(picture: Picture) -> None:
    """No text lies over another or leaves the paper, by the layout's own boxes."""
    boxes = [(words.text, words.box) for words in picture.words if words.text]
    assert [text for text, box in boxes if not box.within(picture.page)] == []
    assert [(a, b) for (a, one), (b, other) in itertools.combinations(boxes, 2) if one.meets(other, -0.05)] == []


@pytest.mark.parametrize("name", KEPT)
def test_no_word_lies_over_another_and_none_leaves_the_paper(name: str) -> None:
    check_words(drawn(name))


@pytest.mark.parametrize("name", NAMES, ids=["wide", "right to left", "emoji", "markup", "turned round"])
def test_names_of_any_kind_leave_nothing_over_anything(name: str) -> None:
    check_words(drawing(renamed(kept("hinge-lug"), name)))
    parts = kept("tee")
    check_words(drawing(_parts_named(parts, name[:64])))


def _parts_named(of: Subject, name: str) -> Subject:
    """The plan with its first part called something else, wherever it is named on a drawing."""
    first, *others = of.alternative.parts
    return replace(of, alternative=replace(of.alternative, parts=(replace(first, id=name), *others)))


def test_inches_leave_nothing_over_anything() -> None:
    check_words(drawing(inched(kept("stepped-stand"))))


@pytest.mark.parametrize("name", KEPT)
def test_every_body_is_where_the_plan_says(name: str) -> None:
    """Paper is mapped to the table by two holes of the drawing; bodies agree to 0.01 mm of paper."""
    root, of = ET.fromstring(written(drawn(name))), kept(name)
    seen = scene(of)
    holes = {
        group.attrib["id"].removeprefix("top-hole-"): (float(circle.attrib["cx"]), float(circle.attrib["cy"]))
        for group in root.iter(f"{SVG}g")
        if group.attrib.get("id", "").startswith("top-hole-") and (circle := group.find(f"{SVG}circle")) is not None
    }
    table = seen.table

    def centre(label: str) -> tuple[float, float]:
        column, row = parse_hole(label)
        return table.first[0] + table.pitch * column, table.first[1] + table.pitch * row

    a, b = min(holes, key=lambda hole: sum(centre(hole))), max(holes, key=lambda hole: sum(centre(hole)))
    scale = (centre(b)[0] - centre(a)[0]) / (holes[b][0] - holes[a][0])
    assert (centre(b)[1] - centre(a)[1]) / (holes[a][1] - holes[b][1]) == pytest.approx(scale, rel=1e-4)
    wanted = [(part.id, shape.box) for part in seen.parts for shape in part.shapes]
    wanted += [(piece.id, shape.box) for piece in seen.pieces for shape in piece.shapes]
    found = []
    for group in root.iter(f"{SVG}g"):
        if group.attrib.get("id", "").startswith("top-body-"):
            path = group.find(f"{SVG}path")
            assert path is not None
            points = [tuple(map(float, pair)) for pair in re.findall(r"([-\d.]+),([-\d.]+)", path.attrib["d"].split("Z")[0])]
            xs = [centre(a)[0] + (x - holes[a][0]) * scale for x, _ in points]
            ys = [centre(a)[1] - (y - holes[a][1]) * scale for _, y in points]
            found.append((group.findtext(f"{SVG}title") or "", (min(xs), min(ys), max(xs), max(ys))))
    assert len(found) == len(wanted)
    for id, box in wanted:
        named = [got for title, got in found if title == f"part {id}" or f": {id}," in title]
        assert any(got == pytest.approx(box, abs=0.01 * scale) for got in named), id


@pytest.mark.parametrize("name", ["hinge-lug", "frame-20"])
def test_groups_have_ids_of_their_own_and_titles(name: str) -> None:
    groups = list(ET.fromstring(written(drawn(name))).iter(f"{SVG}g"))
    ids = [group.attrib["id"] for group in groups]
    assert len(set(ids)) == len(ids)
    bare = [group.attrib["id"] for group in groups if not group.findtext(f"{SVG}title")]
    assert all(id.endswith("-view") or id.startswith("view-") for id in bare), bare


def test_it_says_what_it_is_for_those_who_cannot_see_it() -> None:
    root = ET.fromstring(as_svg(subject()))
    assert root.attrib["role"] == "img" and root.attrib["aria-labelledby"] == "title desc"
    assert root.findtext(f"{SVG}title") == "bars in line: Rank 1: cheapest"
    assert "2 parts, 1 welds, 6 pieces of hardware" in (root.findtext(f"{SVG}desc") or "")


def test_every_piece_is_listed_with_its_hole_turn_and_setting() -> None:
    cells = [node.text for node in ET.fromstring(as_svg(subject())).iter(f"{SVG}text")]
    listed = cells[cells.index("does") + 1 :]
    assert listed[:5] == ["1", "p1", "stop", "A1", "D4"]
    row = listed.index("p4")
    assert listed[row : row + 6] == ["p4", "clamp", "A1", "F6", "180°", "5 mm"]


def test_nothing_from_a_request_becomes_markup() -> None:
    root = ET.fromstring(as_svg(renamed(kept("tee"), '<script>alert("x")</script><text>')))
    assert not list(root.iter(f"{SVG}script"))
    assert any((node.text or "").startswith('<script>alert("x")') for node in root.iter(f"{SVG}text"))
