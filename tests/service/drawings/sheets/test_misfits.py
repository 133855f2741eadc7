"""What an alternative names and is not there is told, each once, with the nearest name there is."""

from __future__ import annotations

from dataclasses import replace

from service.drawings.sheets.misfits import misfits
from tests.service.drawings.example import alternative, question, stock


def test_an_alternative_fits_what_it_was_made_for() -> None:
    assert misfits(alternative(), question(), stock()) == []


def test_an_item_is_told_once_at_its_first_piece() -> None:
    shelf = stock()
    poor = replace(
        shelf,
        items={id: item for id, item in shelf.items.items() if id != "stop"},
        lines={id: line for id, line in shelf.lines.items() if id != "stop"},
    )
    (fault,) = misfits(alternative(), question(), poor)
    assert (fault.pointer, fault.wrong) == ("/placements/0/item", "the stock has no item 'stop'")


def test_a_table_and_a_part_that_are_not_there_are_told() -> None:
    first, *others = alternative().placements
    touching = replace(first, contacts=(replace(first.contacts[0], part="bar-9"),))
    changed = replace(alternative(), table="T9", placements=(touching, *others))
    table, part = misfits(changed, question(), stock())
    assert (table.pointer, part.pointer) == ("/table", "/placements/0/contacts/0/part")
    assert part.accepted == "a part's id; did you mean 'bar-2'?"


def test_a_part_that_is_not_placed_and_a_kit_of_other_hardware_are_told() -> None:
    one = alternative()
    changed = replace(one, parts=one.parts[:1], kit=(*one.kit, replace(one.kit[0], item="ladder")))
    part, item = misfits(changed, question(), stock())
    assert (part.pointer, part.wrong) == ("/parts", "part 'bar-2' of the request is not placed")
    assert (item.pointer, item.wrong) == ("/kit/3/item", "the stock has no item 'ladder'")
