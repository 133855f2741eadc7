"""Items of the demo shop as STEP, read again with marks: the same items, their solids the same bodies."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from inventory.items import Item
from inventory.shapes import Prism
from service.demo import stock_document
from service.documents import read_stock
from service.documents.item_files.marks import read_marks
from service.documents.items import FIGURES
from service.drawings.items.item_step import items_step
from service.drawings.items.shown_items import ShownItems
from service.exchange.items.item_reading import OPTIONS, marked_item

pytest.importorskip("OCP", reason="the extra `exchange` is not installed")

DEMO = read_stock(stock_document()).items


def marks_of(item: Item) -> dict[str, Any]:
    """What a CAD file of an item does not tell, in the file's frame, which is the item's own."""
    marks: dict[str, Any] = {
        "format": "holdwright.marks/1", "id": item.id, "kind": item.kind, "name": item.name, "pitch": 40,
        "pegs": [list(peg) for peg in item.pegs], "turns": item.turns if isinstance(item.turns, str) else list(item.turns),
        "moves": [str(number) for number, solid in enumerate(item.solids, 1) if solid.moves],
        "pads": [
            {"at": list(c.at), "normal": list(c.normal), "width": c.width, "height": c.height, "moves": c.moves}
            for c in item.contacts
        ],
        **{name: getattr(item, name) for name in FIGURES},
    }  # fmt: skip
    if item.slide is not None:
        marks["slide"] = {"axis": list(item.slide.along), "range": [item.slide.low, item.slide.high], "step": item.slide.step}
    if item.carries is not None:
        marks["carries"] = {"height": item.carries.height, "pegs": [list(peg) for peg in item.carries.pegs]}
    if item.clamp is not None:
        clamp = item.clamp
        marks["clamp"] = {
            "force_n": clamp.force_n, "reach": [list(end) for end in clamp.reach], "close_s": clamp.close_s, "open_s": clamp.open_s,
        }  # fmt: skip
    return marks


def corners(prism: Prism) -> Any:
    """The corners of an uncut prism, sorted, (n, 3)."""
    ends = [(u, v, w, 1.0) for w in (prism.start, prism.end) for u, v in prism.outline]
    placed = np.round((np.array(ends) @ np.array(prism.frame).T)[:, :3], 3)
    return placed[np.lexsort(placed.T)]


@pytest.mark.parametrize(
    "id", ["stop-60-wide", "swivel-60", "adj-25", "square-over", "dowel-16", "vee-60", "arm-80", "screw-over", "toggle-push"]
)
def test_an_item_comes_back(id: str) -> None:
    """Round ones had their corners rounded to four decimals in the catalogue."""
    from service.exchange.weldments.step.reading import read_step

    item = DEMO[id]
    found = marked_item(read_step(items_step(ShownItems((item,))), id, OPTIONS), read_marks(marks_of(item)))
    assert found.sound
    back = found.item
    for solid, read in zip(item.solids, back.solids, strict=True):
        assert (read.moves, read.prism.cuts, read.prism.cutouts) == (solid.moves, (), ())
        assert corners(read.prism) == pytest.approx(corners(solid.prism), abs=1.5e-3)
    for name in ("pegs", "turns", "slide", "carries", *FIGURES):
        assert getattr(back, name) == getattr(item, name), name
    for pad, was in zip(back.contacts, item.contacts, strict=True):
        assert (pad.at, pad.width, pad.height, pad.moves) == (was.at, was.width, was.height, was.moves)
        assert pad.normal == pytest.approx(was.normal)
    if item.clamp is not None:
        assert back.clamp is not None
        assert (back.clamp.reach, back.clamp.direction) == (item.clamp.reach, item.clamp.direction)
