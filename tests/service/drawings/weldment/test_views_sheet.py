"""A weldment's sheet: three views and every part in words, texts on the paper and apart, ids of groups each once."""

from __future__ import annotations

import json
import re
from itertools import combinations

import pytest

from inventory.shapes import PlaneCut
from service.demo import job_document
from service.documents.weldment import read_weldment
from service.drawings.weldment.views_sheet import section_words, views_sheet, weldment_svg
from service.drawings.weldment.weldment_formats import WELDMENT_FORMATS
from solver.weldment import Weldment
from tests.builders import plate, tube, weldment


def demo(name: str) -> Weldment:
    return read_weldment(json.loads(job_document(name))["weldment"])


@pytest.mark.parametrize("name", ("hinge-lug", "gable", "braced-frame", "vee-lug"))
def test_texts_lie_on_the_paper_and_apart(name: str) -> None:
    picture = views_sheet(demo(name))
    boxes = [text.box for text in picture.words]
    assert all(box.within(picture.page) for box in boxes)
    assert not any(a.meets(b, -0.15) for a, b in combinations(boxes, 2))
    words = {text.text for text in picture.words}
    assert {part.id for part in demo(name).parts} <= words


def test_ids_are_each_once_and_the_bytes_the_same() -> None:
    svg = weldment_svg(demo("braced-frame"))
    ids = re.findall(r' id="([^"]+)"', svg)
    assert len(ids) == len(set(ids)) > 20
    assert svg == weldment_svg(demo("braced-frame"))


def test_sections_are_told_in_words() -> None:
    mitred = tube()
    assert section_words(mitred) == "square tube, width 50, wall 3"
    assert section_words(plate()) == "plate, 4 corners"
    cut = type(mitred)(mitred.id, mitred.section, mitred.length, mitred.pose, cuts=(PlaneCut((0, 0, 400), (0, 1, 1)),))
    assert section_words(cut) == "square tube, width 50, wall 3; 1 cut"


def test_parts_and_welds_are_told_apart_in_space() -> None:
    """A part may be called as a weld is shown."""
    drawn = WELDMENT_FORMATS["glb"].content(weldment(tube("weld w1"), plate("lid", at=(0, 0, 50))))
    assert drawn[:4] == b"glTF" and b'"weld w1"' in drawn and b'"lid"' in drawn
