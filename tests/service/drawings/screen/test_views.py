"""Drawings on a screen: as large before their labels as with them, in either unit, with ways and torches to be picked."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest

from service.drawings.paper.marks import Group, Mark, Picture, Stroke
from service.drawings.paper.svg import as_inline_svg
from service.drawings.scene import scene
from service.drawings.screen.overview import overview
from service.drawings.screen.views import SCREEN_VIEWS, ScreenView, screen_view
from solver.plans import Move
from tests.service.drawings.kept import kept

JOBS = ("hinge-lug", "stepped-stand", "gable")


def groups(marks: tuple[Mark, ...]) -> dict[str, list[Group]]:
    """Return every group that shows something, by what it shows."""
    found: dict[str, list[Group]] = {}
    for mark in marks:
        if isinstance(mark, Group):
            if mark.about:
                found.setdefault(mark.about, []).append(mark)
            for about, more in groups(mark.marks).items():
                found.setdefault(about, []).extend(more)
    return found


def ghost(picture: Picture, about: str) -> list[Stroke]:
    (group,) = groups(picture.marks)[about]
    return [mark for mark in group.marks if isinstance(mark, Stroke) and mark.style == "ghost"]


@pytest.mark.parametrize("view", SCREEN_VIEWS)
@pytest.mark.parametrize("job", JOBS)
def test_a_view_is_as_large_before_its_labels_as_with_them(job: str, view: ScreenView) -> None:
    (plain,), (whole, *_) = (screen_view(kept(job), view, labelled=labelled) for labelled in (False, True))
    assert (plain.width, plain.height) == (whole.width, whole.height)
    assert set(groups(plain.marks)) == set(groups(whole.marks))
    assert len(plain.words) < len(whole.words)


@pytest.mark.parametrize("job", JOBS)
def test_every_piece_part_weld_and_way_can_be_picked(job: str) -> None:
    subject, found = kept(job), groups(screen_view(kept(job), "top", labelled=False)[0].marks)
    one = subject.alternative
    assert {f"piece:{each.id}" for each in one.placements} <= set(found)
    assert {f"part:{each.id}" for each in one.parts} <= set(found)
    ways = {f"way:{number}" for number in range(1, len(one.load) + 1)} | {"way:out"}
    assert ways <= set(found)
    assert {f"torch:{weld.id}" for weld in one.welds if weld.samples} <= set(found)


def test_a_part_comes_from_where_its_way_begins() -> None:
    """Hand calculation: a part that ends 90 mm to the right of where its way began has its ghost 90 mm to the left of itself."""
    subject = kept("hinge-lug")
    step = replace(subject.alternative.load[0], moves=(Move((0.0, 0.0, -1.0), 150.0), Move((1.0, 0.0, 0.0), 90.0)))
    moved = replace(subject, alternative=replace(subject.alternative, load=(step, *subject.alternative.load[1:])))
    (top,) = screen_view(moved, "top", labelled=False)
    (there,) = ghost(top, "way:1")
    bodies = [mark for group in groups(top.marks)[f"part:{step.part}"] for mark in group.marks if isinstance(mark, Stroke)]
    scale = _scale(top)
    shift = min(x for x, _ in bodies[0].lines[0]) - min(x for x, _ in there.lines[0])
    assert shift * scale == pytest.approx(90.0, abs=1e-6)


def _scale(picture: Picture) -> float:
    (words,) = [found for word in picture.words if (found := re.search(r"scale 1 : ([\d.]+)", word.text))]
    return float(words[1])


def test_lengths_are_written_in_the_unit_that_is_asked_for() -> None:
    drawn = as_inline_svg(screen_view(kept("hinge-lug").shown_in("inch"), "top", labelled=True)[0], "x")
    assert "h 2.657" in drawn and "set 2.559 in" in drawn and "65 mm" not in drawn
    assert kept("hinge-lug").request.weldment.units == "mm"


def test_at_a_glance_all_bodies_are_there_without_a_word() -> None:
    subject = kept("hinge-lug")
    picture = overview(scene(subject), (120.0, 90.0), frozenset({"p1", "p8"}))
    found = groups(picture.marks)
    assert {f"piece:{each.id}" for each in subject.alternative.placements} <= set(found)
    assert picture.words == () and max(picture.width / 120, picture.height / 90) == pytest.approx(1.0)
    assert as_inline_svg(picture, "x").count('class="ring"') == 2
