"""What the hands do is said the same on every view, ways as seen from the table's front, lengths in the weldment's unit."""

from __future__ import annotations

from dataclasses import replace

from service.steps import change_rows, load_lines
from solver.plans import Change, LoadStep, Move
from tests.service.drawings.example import alternative

DOWN, LEFT = Move((0.0, 0.0, -1.0), 150.0), Move((-1.0, 0.0, 0.0), 12.7)


def test_ways_are_told_where_a_unit_is_given() -> None:
    loaded = replace(alternative(), load=(LoadStep("bar-1", (DOWN, LEFT), ("p4",)),))
    assert load_lines(loaded) == ["1  in: bar-1; shut p4", "   out: open p4; weldment"]
    assert load_lines(loaded, "mm")[0] == "1  in: bar-1; down 150 mm, then left 12.7 mm; shut p4"
    assert load_lines(loaded, "inch")[0] == "1  in: bar-1; down 5.906 in, then left 0.500 in; shut p4"


def test_every_direction_has_its_word() -> None:
    for way, word in ((0, "right"), (1, "away"), (2, "up")):
        for sign, said in ((1.0, word), (-1.0, {"right": "left", "away": "towards you", "up": "down"}[word])):
            direction = tuple(sign * (axis == way) for axis in range(3))
            loaded = replace(alternative(), load=(LoadStep("bar-1", (Move(direction, 40.0),), ()),))
            assert load_lines(loaded, "mm")[0] == f"1  in: bar-1; {said} 40 mm"


def test_settings_of_changes_stand_in_the_unit() -> None:
    change = Change("set", "p4", "clamp", "F6", "F6", None, 12.7, "the bar is thicker")
    assert [change_rows([change], unit)[0][7] for unit in ("mm", "inch")] == ["12.7 mm", "0.500 in"]  # type: ignore[arg-type]
