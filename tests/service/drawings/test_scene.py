"""What a top view shows is what the plan says."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from service.drawings.scene import Scene, scene
from solver.plans import Alternative
from tests.service.drawings.example import alternative, subject


@pytest.fixture(scope="module")
def shown() -> Scene:
    return scene(subject())


def with_first(**changes: Any) -> Alternative:
    """The alternative with its first placement changed."""
    first, *others = alternative().placements
    return replace(alternative(), placements=(replace(first, **changes), *others))


def test_every_piece_stands_where_the_plan_says(shown: Scene) -> None:
    where = {piece.id: (piece.place, piece.turn, piece.origin) for piece in shown.pieces}
    assert where["p1"] == ("D4", 0, (160, 160))
    assert where["p3"] == ("C5", 270, (120, 200))
    assert where["p10"] == ("on p5", 90, (400, 320))


def test_contacts_are_named_by_what_they_do(shown: Scene) -> None:
    marks = {mark.piece: mark.mark for mark in shown.marks}
    assert marks == {"p1": "side", "p2": "side", "p3": "end", "p4": "clamp", "p10": "side"}


def test_a_piece_that_supports_and_sides_is_marked_by_the_way_it_pushes() -> None:
    sideways = scene(subject(with_first(locates=(("bar-1", "support"), ("bar-1", "side"))))).marks[0]
    contact = replace(alternative().placements[0].contacts[0], normal=(0.0, -0.7071, 0.7071))
    changed = with_first(locates=(("bar-1", "support"), ("bar-1", "side")), contacts=(contact,))
    upward = scene(subject(changed)).marks[0]
    assert (sideways.mark, upward.mark) == ("side", "support")


def test_welds_come_from_the_request_and_lie_where_the_weldment_lies(shown: Scene) -> None:
    assert [(weld.id, weld.path) for weld in shown.welds] == [("w1", ((335, 180), (335, 220)))]


def test_two_stations_show_the_welds_twice() -> None:
    one = alternative()
    first = replace(one.stations[0], number=1)
    x, (a, b, c, y), *rest = first.weldment_to_table
    second = replace(first, number=2, weldment_to_table=(x, (a, b, c, y + 300), *rest))
    changed = replace(one, stations=(first, second))
    assert [weld.path[0] for weld in scene(subject(changed)).welds] == [(335, 180), (335, 480)]


def test_the_window_holds_everything_with_a_margin(shown: Scene) -> None:
    x0, y0, x1, y1 = shown.window
    assert shown.part_box == (135, 175, 535, 225)
    assert (x0, y0) == (105 - 60, 145 - 60) and x1 == 535 + 60 and y1 > 336


def test_an_item_the_stock_does_not_know_is_refused() -> None:
    with pytest.raises(KeyError, match="unheard-of"):
        scene(subject(with_first(item="unheard-of")))
