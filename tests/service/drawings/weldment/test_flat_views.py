"""A weldment alone on paper and in space: to scale, every part and seam told apart, whatever is missing."""

from __future__ import annotations

import pytest

from service.drawings.paper.marks import Group, Picture, Stroke
from service.drawings.paper.svg import as_inline_svg
from service.drawings.weldment.flat_views import VIEWS, flat_view
from service.drawings.weldment.shown_weldment import ShownSeam, ShownWeldment
from service.drawings.weldment.weldment_glb import weldment_glb
from solver.drafting import seams
from tests.builders import tab_on_tube


def shown(chosen: str = "", at_fault: frozenset[str] = frozenset()) -> ShownWeldment:
    weldment = tab_on_tube()
    found = tuple(ShownSeam(k, seam.path, seam.place) for k, seam in enumerate(seams(weldment.parts)))
    parts, welds = tuple(enumerate(weldment.parts)), tuple(enumerate(weldment.welds))
    return ShownWeldment("a <b> tab", "mm", parts, welds, found, chosen, at_fault)


def groups(picture: Picture) -> dict[str, Group]:
    return {mark.about: mark for mark in picture.marks if isinstance(mark, Group) and not mark.id.startswith("name")}


@pytest.mark.parametrize("view", VIEWS)
def test_every_part_weld_and_seam_is_told_apart_and_within_the_paper(view: str) -> None:
    there, picture = shown(), flat_view(shown(), view)
    wanted = (
        {f"part:{k}" for k, _ in there.parts} | {f"weld:{k}" for k, _ in there.welds} | {f"seam:{s.number}" for s in there.seams}
    )
    assert set(groups(picture)) == wanted and picture.width == 100.0 and picture.height <= 66.0
    for group in groups(picture).values():
        for mark in group.marks:
            assert isinstance(mark, Stroke)
            assert all(0 <= x <= picture.width and 0 <= y <= picture.height for line in mark.lines for x, y in line)


def test_it_is_to_scale_and_says_how_large_it_is() -> None:
    picture = flat_view(shown(), "above")
    tube = groups(picture)["part:0"].marks[0]
    assert isinstance(tube, Stroke)
    wide = max(x for x, _ in tube.lines[0]) - min(x for x, _ in tube.lines[0])
    length = shown().parts[0][1].length
    scale = float(next(words.text for words in picture.words if "scale" in words.text).rpartition(" ")[2])
    assert wide * scale == pytest.approx(length, rel=1e-6)
    assert f"{length:g}" in {words.text for words in picture.words}


def test_what_is_picked_or_to_be_mended_looks_otherwise() -> None:
    drawn = groups(flat_view(shown("part:1", frozenset({"part:0"})), "above"))
    styles = {about: group.marks[-1].style for about, group in drawn.items() if isinstance(group.marks[-1], Stroke)}
    assert styles["part:1"] == "part chosen" and styles["part:0"] == "part at-fault"


def test_nothing_yet_is_an_empty_sheet() -> None:
    nothing = ShownWeldment("", "inch", ())
    picture = flat_view(nothing, "front")
    assert picture.description == "Nothing is drawn yet." and weldment_glb(nothing) is None


def test_names_are_text_in_drawings() -> None:
    drawn = as_inline_svg(flat_view(shown(), "above"), "view")
    assert "a &lt;b&gt; tab" in drawn and "<b>" not in drawn and "style=" not in drawn


def test_in_space_every_part_and_weld_is_a_node_of_its_own() -> None:
    written = weldment_glb(shown())
    assert written is not None and written[:4] == b"glTF"
    assert all(f'"part:{k}"'.encode() in written for k, _ in shown().parts)
