"""Items as STEP: every solid of the demo shop's catalogue under its name, with its volume; round ones are cylinders."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from inventory.items import Item
from service.demo import stock_document
from service.documents import read_stock
from service.drawings.items.item_step import items_step
from service.drawings.items.shown_items import ShownItems, solid_names
from service.drawings.models.meshes import mesh
from tests.service.drawings.models.reading import coordinates, corners_around, cylinder_radii, products, solids, volume

pytest.importorskip("OCP", reason="the extra `exchange` is not installed")


def catalogue() -> tuple[Item, ...]:
    return tuple(read_stock(stock_document()).items.values())


def test_the_whole_catalogue_has_every_solid_beside_the_others(tmp_path: Path) -> None:
    """A circle has less in it than the outline of 48 sides around it: 48 / pi x tan(pi / 48) times as much."""
    name, found = products(items_step(ShownItems(catalogue())), tmp_path)
    assert name == "catalogue"
    wanted = [(name, solid) for item in catalogue() for name, solid in zip(solid_names(item), item.solids, strict=True)]
    assert [product for product, _, _ in found] == [name for name, _ in wanted]
    share = math.pi / 48 / math.tan(math.pi / 48)
    for (_, solid), (product, shape, _) in zip(wanted, found, strict=True):
        (body,) = solids(shape)
        circle = share if cylinder_radii(body) else 1.0
        assert volume(body) == pytest.approx(mesh(solid.prism).volume * circle, rel=1e-5), product
    round_ones = {product for product, shape, _ in found if cylinder_radii(shape)}
    assert round_ones == {"swivel-60 solid 1", "pin-20 solid 1", "dowel-16 solid 1"}


def test_an_item_alone_lies_in_its_own_frame(tmp_path: Path) -> None:
    item = next(item for item in catalogue() if item.id == "adj-25")
    name, ((first, block, _), (second, slider, _)) = products(items_step(ShownItems((item,))), tmp_path)
    assert (name, first, second) == ("adj-25", "adj-25 solid 1", "adj-25 solid 2, moves")
    assert [coordinates(corner) for corner in corners_around(block)] == [
        pytest.approx((-15, -15, 0), abs=1e-6), pytest.approx((15, 12, 60), abs=1e-6),
    ]  # fmt: skip
    assert volume(slider) == pytest.approx(28 * 20 * 48)
