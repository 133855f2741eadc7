"""The sheet of items: every item with its views, words on the paper and apart."""

from __future__ import annotations

from itertools import combinations

import pytest

from inventory.items import Item
from service.demo import stock_document
from service.documents import read_stock
from service.drawings.items.item_sheet import items_sheet, items_svg
from service.drawings.items.shown_items import ShownItems, laid_out, lattice_pitch, pad_corners
from tests.builders import down_clamp, rest, side_clamp, table


def catalogue() -> tuple[Item, ...]:
    return tuple(read_stock(stock_document()).items.values())


@pytest.mark.parametrize("items", [catalogue(), (side_clamp(),), (rest("<&>" * 20),)], ids=["catalogue", "one", "hostile"])
def test_words_lie_on_the_paper_and_apart(items: tuple[Item, ...]) -> None:
    picture = items_sheet(ShownItems(items, 40.0))
    boxes = [text.box for text in picture.words]
    assert all(box.within(picture.page) for box in boxes)
    assert not any(a.meets(b, -0.15) for a, b in combinations(boxes, 2))
    assert items_svg(ShownItems(items, 40.0)) == items_svg(ShownItems(items, 40.0))


def test_it_says_what_an_item_is() -> None:
    words = [text.text for text in items_sheet(ShownItems((side_clamp(), down_clamp(), rest()), None)).words]
    assert any("side clamp, 2 pegs, of which those beside the origin are not drawn: no pitch, 1 pad" in line for line in words)
    assert any("clamps with 2000 N" in line for line in words) and any(line.startswith("rest, 1 peg, 1 pad") for line in words)


def test_a_pads_width_is_level_and_along_x_if_it_looks_up() -> None:
    front, top = down_clamp().contacts[0], rest().contacts[0]
    assert {(round(x, 6), round(y, 6)) for x, y, _ in pad_corners(front)} == {(x, y) for x in (-8, 8) for y in (52, 68)}
    assert {(x, y, z) for x, y, z in pad_corners(top)} == {(x, y, 50) for x in (-15, 15) for y in (-15, 15)}


def test_pegs_stand_at_the_pitch_of_the_first_table() -> None:
    assert lattice_pitch(()) is None
    assert lattice_pitch((table("T2", pitch=50), table("T1", pitch=40))) == 40


def test_one_item_lies_at_its_origin() -> None:
    assert [place for _, place in laid_out(ShownItems((rest(),)))] == [(0.0, 0.0)]
