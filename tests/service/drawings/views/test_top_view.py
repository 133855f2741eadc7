"""The view from above shows every body where the plan says, to scale, with rulers counted from hole A1."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest

from inventory.shapes import Point2
from service.drawings.paper.marks import Disc, Group, Picture, Stroke
from service.drawings.scene import DrawnWeld, Scene, scene
from service.drawings.views.contact_marks import welds
from service.drawings.views.labelled import UNMARKED
from service.drawings.views.outlook import SIDES, TOP, View, scale_for, window_around
from service.drawings.views.top_view import top_views
from tests.service.drawings.example import alternative, subject
from tests.service.drawings.kept import corners, each_line, inched, kept

ROOM = (190.0, 150.0)


@pytest.fixture(scope="module")
def shown() -> Scene:
    return scene(subject())


@pytest.fixture(scope="module")
def picture(shown: Scene) -> Picture:
    return top_views(shown, ROOM).main


def bodies(picture: Picture) -> dict[str, Stroke]:
    """The bodies' outlines by their titles."""
    found: dict[str, Stroke] = {}

    def keep(group: Group, line: Stroke) -> None:
        if "-body-" in group.id:
            found.setdefault(group.title, line)

    each_line(picture.marks, keep)
    return found


def size(line: Stroke) -> Point2:
    left, top, right, bottom = corners(line.lines[0])
    return right - left, bottom - top


def texts(picture: Picture) -> list[str]:
    return [words.text for words in picture.words]


def test_it_is_drawn_to_scale(picture: Picture) -> None:
    found = bodies(picture)
    bar, stop = size(found["part bar-1"]), size(next(line for title, line in found.items() if title.startswith("1: p1")))
    assert bar[0] / bar[1] == pytest.approx(200 / 50)
    assert bar[0] / stop[0] == pytest.approx(200 / 28, rel=1e-6)


def test_the_scale_is_a_usual_one_and_is_said(picture: Picture) -> None:
    bar = size(bodies(picture)["part bar-1"])
    assert f"scale 1 : {200 / bar[0]:g}" in " ".join(texts(picture))


def test_rulers_count_from_hole_a1_and_say_the_steps_between(picture: Picture) -> None:
    """Pieces stand in columns C, D, F, G, J of a 40 mm lattice: 80, 120, 200, 240, 360 mm from A1."""
    said = texts(picture)
    assert {"80", "120", "200", "240", "360"} <= set(said)
    assert {"C", "D", "F", "G", "J"} <= set(said)
    assert "40" in said  # from C to D


def test_a_weldment_drawn_in_inches_is_shown_in_inches() -> None:
    said = texts(top_views(scene(inched(kept("hinge-lug"))), ROOM).main)
    assert f"{500 / 25.4:.3f}" in said and any("in, scale 1 :" in text for text in said)


def test_overall_sizes_are_written_out(picture: Picture) -> None:
    assert "400" in texts(picture) and "50" in texts(picture)


def test_a_blocked_hole_says_so(picture: Picture) -> None:
    found: list[str] = []
    each_line(picture.marks, lambda group, line: found.append(group.title) if line.style == "blocked" else None)
    assert found == ["hole B3, blocked"]


def test_a_stack_is_numbered_from_the_table_up(picture: Picture) -> None:
    assert "5+6" in texts(picture)


def test_an_upright_weld_is_a_dot(shown: Scene) -> None:
    view = View(TOP, window_around(((0, 0), (600, 400)), 0.0), 5.0)
    upright = replace(shown, welds=(DrawnWeld("w1", ((300.0, 200.0, 5.0), (300.0, 200.0, 10.0))),))

    def marks(of: Scene) -> list[object]:
        (weld,) = welds(of, view, "top")
        assert isinstance(weld, Group)
        return list(weld.marks)

    assert any(isinstance(mark, Disc) for mark in marks(upright))
    assert not any(isinstance(mark, Disc) for mark in marks(shown))


def test_the_torch_is_shown_from_its_side(shown: Scene) -> None:
    view = View(TOP, window_around(((0, 0), (600, 400)), 0.0), 5.0)
    lit = replace(shown.welds[0], torches=(((335.0, 200.0, 10.0), (1.0, 0.0, 0.0)),))
    (weld,) = welds(replace(shown, welds=(lit,)), view, "top")
    assert isinstance(weld, Group)
    shaft = next(mark for mark in weld.marks if isinstance(mark, Stroke) and mark.style == "torch")
    assert shaft.lines[0][0][0] < shaft.lines[0][1][0]  # drawn from the nozzle's side, here the left


def test_the_largest_scale_that_fits_is_taken() -> None:
    window = window_around(((0, 0), (900, 300)), 0.0)
    assert scale_for(window, (180.0, 100.0)) == 5 and scale_for(window, (179.0, 100.0)) == 6


def test_sides_are_seen_as_one_who_stands_there_sees_them() -> None:
    """From the front, columns run to the right; from the back, to the left; from the right, rows run to the right."""
    assert SIDES["from the front"].seen((1.0, 2.0, 3.0)) == (1.0, 3.0)
    assert SIDES["from the back"].seen((1.0, 2.0, 3.0)) == (-1.0, 3.0)
    assert SIDES["from the right"].seen((1.0, 2.0, 3.0)) == (2.0, 3.0)
    assert SIDES["from the left"].seen((1.0, 2.0, 3.0)) == (-2.0, 3.0)


def test_what_is_crowded_is_drawn_larger_and_labelled_there() -> None:
    """The machine base on a smaller sheet than it is printed on: what finds no room is in a detail, nothing is in none."""
    drawn = scene(kept("frame-20"))
    views = top_views(drawn, (190.0, 120.0))
    assert views.details
    labelled = {words.text for one in (views.main, *views.details) for words in one.words if words.bold}
    assert {str(piece.number) for piece in drawn.pieces} <= {number for text in labelled for number in text.split("+")}
    assert not any(words.text.startswith(UNMARKED) for one in (views.main, *views.details) for words in one.words)


def test_what_finds_no_room_at_all_is_named_below() -> None:
    drawn = scene(kept("frame-20"))
    views = top_views(drawn, (120.0, 100.0))
    said = " ".join(words.text for one in (views.main, *views.details) for words in one.words)
    assert UNMARKED in said
    assert {str(piece.number) for piece in drawn.pieces} <= set(re.findall(r"\d+", said))


def test_names_cannot_break_out_of_the_drawing() -> None:
    asked = subject().request
    hostile = replace(asked, weldment=replace(asked.weldment, name='<script>alert("x")</script> & co'))
    assert top_views(scene(subject(alternative(), hostile)), ROOM).main.title.startswith('<script>alert("x")</script> & co')
