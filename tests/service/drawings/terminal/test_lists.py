"""The lists are what a fitter sets by: pieces in placing order, kit by bin, settings in the weldment's unit, nothing cut."""

from __future__ import annotations

from dataclasses import replace

import pytest

from service.drawings.subject import Subject
from service.drawings.terminal.lists import change_lines, kit_lines, placement_lines
from solver.plans import Change, KitLine, Role
from tests.service.drawings.example import alternative, question, stock, subject


def rows(lines: list[str]) -> list[list[str]]:
    """Return the cells of each row that begins with a number."""
    return [line.split() for line in lines if line[:2].strip().isdecimal()]


def in_inches(subject: Subject) -> Subject:
    weldment = replace(subject.request.weldment, units="inch")
    return replace(subject, request=replace(subject.request, weldment=weldment))


def test_pieces_stand_in_placing_order_with_bin_place_turn_and_duty() -> None:
    found = rows(list(placement_lines(subject(), 140)))
    assert [cells[:2] for cells in found] == [[str(k), id] for k, id in enumerate(("p1", "p2", "p3", "p4", "p5", "p10"), 1)]
    assert found[0][2:] == ["stop", "A1", "D4", "0", *["side", "at", "the", "near", "side", "of", "bar-1", "stop"]]
    assert found[4][2:] == ["riser", "A1", "J8", "0", "carries", "p10", "riser"]
    assert found[5][4:7] == ["on", "p5", "90"]


def test_a_carrier_is_placed_before_what_stands_on_it() -> None:
    turned = replace(alternative(), placements=tuple(reversed(alternative().placements)))
    assert [cells[1] for cells in rows(list(placement_lines(subject(turned), 140)))][:2] == ["p5", "p10"]


def test_settings_stand_in_the_unit_of_the_weldment() -> None:
    assert any(" 5 mm  clamps the top of bar-1" in line for line in placement_lines(subject(), 100))
    assert any(" 0.197 in  clamps the top of bar-1" in line for line in placement_lines(in_inches(subject()), 100))


def test_numbered_stations_have_their_column() -> None:
    both = tuple(replace(one, station=1 + k % 2) for k, one in enumerate(alternative().placements[:3]))
    lines = list(placement_lines(subject(replace(alternative(), placements=both)), 140))
    assert lines[0].split()[:3] == ["no", "piece", "station"]
    assert [cells[1:3] for cells in rows(lines)] == [["p1", "1"], ["p3", "1"], ["p2", "2"]]
    assert "station" not in next(iter(placement_lines(subject(), 140)))


def test_names_that_do_not_fit_are_left_to_the_kit() -> None:
    shelf = stock()
    long = replace(shelf.items["stop"], name="a stop with a name of many words and more than forty characters")
    named = Subject(alternative(), question(), replace(shelf, items={**shelf.items, "stop": long}))
    wide, narrow = list(placement_lines(named, 140)), list(placement_lines(named, 80))
    assert "what it is" in wide[0] and "what it is" not in narrow[0]
    assert " ".join(" ".join(kit_lines(named, 80)).split()).count("stop with a name of") == 1


@pytest.mark.parametrize("width", [80, 93, 120, 200])
def test_no_line_is_wider_than_the_terminal_and_no_word_is_lost(width: int) -> None:
    many: tuple[tuple[str, Role], ...] = tuple((f"bar-{k}", "side") for k in (1, 2, 3, 4, 5, 6))
    first, *others = alternative().placements
    busy = subject(replace(alternative(), placements=(replace(first, locates=many), *others)))
    lines = [*placement_lines(busy, width), *kit_lines(busy, width)]
    assert all(len(line) <= width for line in lines)
    assert all(f"bar-{k}" in " ".join(lines) for k in (1, 2, 3, 4, 5, 6))


def test_the_kit_is_sorted_by_bin_and_tells_what_to_buy() -> None:
    kit = (KitLine("stop", 3, "A10"), KitLine("riser", 1, "B1", buy=1), KitLine("clamp", 1, "A2"))
    lines = list(kit_lines(subject(replace(alternative(), kit=kit)), 80))
    assert lines[0].split()[:5] == ["bin", "item", "pieces", "to", "buy"]
    assert [line.split()[:4] for line in lines[1:]] == [
        ["A2", "clamp", "1", "clamp"],
        ["A10", "stop", "3", "stop"],
        ["B1", "riser", "1", "1"],
    ]
    assert "to buy" not in next(iter(kit_lines(subject(), 80)))


def test_steps_from_what_stands_are_told_in_the_weldments_unit() -> None:
    change = Change("set", "p4", "clamp", "F6", "F6", None, 12.7, "the bar is thicker")
    moved = subject(replace(alternative(), changes=(change,)))
    assert any("12.7 mm" in line for line in change_lines(moved, 100))
    assert any("0.500 in" in line for line in change_lines(in_inches(moved), 100))
    assert list(change_lines(subject(), 100)) == []


def test_what_a_document_says_cannot_steer_the_terminal() -> None:
    first, *others = alternative().placements
    hostile = subject(replace(alternative(), placements=(replace(first, id="p\x1b[2J"), *others)))
    assert not any("\x1b" in line for line in placement_lines(hostile, 100))
