"""What the hands do is said the same on every view, ways as seen from the table's front, lengths in the weldment's unit."""

from __future__ import annotations

from dataclasses import replace
from typing import get_args

import pytest

from inventory.shapes import Point3
from service.steps import change_rows, load_lines
from solver.plans import Change, LoadStep, Move
from solver.weldment import LengthUnit
from tests.service.drawings.example import alternative

DOWN, LEFT = Move((0.0, 0.0, -1.0), 150.0), Move((-1.0, 0.0, 0.0), 12.7)


def test_ways_are_told_where_a_unit_is_given() -> None:
    loaded = replace(alternative(), load=(LoadStep("bar-1", (DOWN, LEFT), ("p4",)),))
    assert load_lines(loaded) == ["1  in: bar-1; shut p4", "   out: open p4; weldment"]
    assert load_lines(loaded, "mm")[0] == "1  in: bar-1; down 150 mm, then left 12.7 mm; shut p4"
    assert load_lines(loaded, "inch")[0] == "1  in: bar-1; down 5.906 in, then left 0.500 in; shut p4"


@pytest.mark.parametrize(
    ("direction", "said"),
    [
        ((1.0, 0.0, 0.0), "right"),
        ((-1.0, 0.0, 0.0), "left"),
        ((0.0, 1.0, 0.0), "away"),
        ((0.0, -1.0, 0.0), "towards you"),
        ((0.0, 0.0, 1.0), "up"),
        ((0.0, 0.0, -1.0), "down"),
    ],
)
def test_every_direction_has_its_word(direction: Point3, said: str) -> None:
    loaded = replace(alternative(), load=(LoadStep("bar-1", (Move(direction, 40.0),), ()),))
    assert load_lines(loaded, "mm")[0] == f"1  in: bar-1; {said} 40 mm"


def test_settings_of_changes_stand_in_the_unit() -> None:
    change = Change("set", "p4", "clamp", "F6", "F6", None, 12.7, "the bar is thicker")
    assert [change_rows([change], unit)[0][7] for unit in get_args(LengthUnit)] == ["12.7 mm", "0.500 in"]
