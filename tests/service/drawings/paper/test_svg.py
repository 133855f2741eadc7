"""Pictures become sound SVG: every text escaped, ids and titles on groups, nothing outside a clip."""

from __future__ import annotations

import xml.etree.ElementTree as ET

from service.drawings.paper.marks import Box, Disc, Group, Picture, TextLine, line, name_of, rectangle
from service.drawings.paper.svg import as_svg, number

SVG = "{http://www.w3.org/2000/svg}"


def test_texts_and_titles_are_data() -> None:
    hostile = '<script>alert("x")</script> & co'
    picture = Picture(50.0, 20.0, (Group((TextLine(hostile, (1.0, 5.0)),), "g", hostile),), hostile, hostile)
    root = ET.fromstring(as_svg(picture))
    assert not list(root.iter(f"{SVG}script"))
    assert [node.text for node in root.iter(f"{SVG}text")] == [hostile]
    assert root.findtext(f"{SVG}title") == hostile == root.findtext(f"{SVG}desc")


def test_a_unit_is_a_millimetre_of_paper() -> None:
    root = ET.fromstring(as_svg(Picture(190.0, 95.5, (rectangle(Box(1, 2, 3, 4), "part"),))))
    assert (root.attrib["width"], root.attrib["height"], root.attrib["viewBox"]) == ("190mm", "95.5mm", "0 0 190 95.5")
    assert next(root.iter(f"{SVG}path")).attrib["d"] == "M1,2 L3,2 L3,4 L1,4Z"


def test_a_clipped_group_shows_nothing_outside() -> None:
    inner = Group((Disc((5.0, 5.0), 2.0, "hole"), line((0, 0), (9, 9), style="weld")), "view", clip=Box(1, 1, 8, 8))
    clipped = next(ET.fromstring(as_svg(Picture(10, 10, (inner,)))).iter(f"{SVG}g")).find(f"{SVG}svg")
    assert clipped is not None and clipped.attrib["viewBox"] == "1 1 7 7" and len(clipped) == 2


def test_ids_are_names_whatever_they_are_made_of() -> None:
    assert name_of("top", 3, 'rail "1" שלום') == "top-3-rail__1______"


def test_numbers_have_no_negative_zero_and_three_decimals() -> None:
    assert [number(value) for value in (-0.0001, 1.23456, 7.0, 0.5)] == ["0", "1.235", "7", "0.5"]
