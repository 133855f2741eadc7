"""Pins in round holes and slots of a plate: a dowel in a hole gives two points at 90 degrees, a pin in a slot one."""

from __future__ import annotations

import math

import pytest

from inventory.items import Contact, Item, Solid
from inventory.shapes import Point2, Prism
from inventory.stock import StockSnapshot
from solver.sections import Section
from solver.weldment import Part, Pose, Weldment
from tests import builders as b
from tests.solver.kinds.shop import impossible, pieces, planned

SLOT = ((150.0, 51.99), (170.0, 51.99), (170.0, 68.01), (150.0, 68.01))


def round_pin(id: str, both: bool, diameter: float = 16) -> Item:
    """A dowel whose rim locates towards +x, or towards +x and +y; its body goes around the circle."""
    radius, sides = diameter / 2, 48
    around = radius / math.cos(math.pi / sides)
    ring = tuple(
        (around * math.cos((k + 0.5) * 2 * math.pi / sides), around * math.sin((k + 0.5) * 2 * math.pi / sides))
        for k in range(sides)
    )
    pads = (Contact((radius, 0, 20), b.X, 1, 40), Contact((0, radius, 20), b.Y, 1, 40))
    return b._item(id, "pin", (Solid(Prism(ring, 0, 40)),), pads[: 1 + both])


def circle(x: float, y: float, diameter: float = 16, sides: int = 48, first: float = 0.5) -> tuple[Point2, ...]:
    """A polygon inside a circle."""
    turns = [(k + first) * 2 * math.pi / sides for k in range(sides)]
    return tuple((x + diameter / 2 * math.cos(turn), y + diameter / 2 * math.sin(turn)) for turn in turns)


def drilled(*cutouts: tuple[Point2, ...]) -> Weldment:
    """A 200 x 120 x 10 plate with cut-outs, on the table."""
    outline = ((0.0, 0.0), (200.0, 0.0), (200.0, 120.0), (0.0, 120.0))
    return b.weldment(
        Part("plate", Section("plate", plate_outline=outline, plate_cutouts=cutouts), 10, Pose((0, 0, 0), b.Z, b.Y))
    )


CLAMPS = ("clamp", "long")


def shelf(*pins: Item) -> StockSnapshot:
    """One of each pin, and clamps: nothing else could locate the plate."""
    return b.shelf(*((pin, 1) for pin in pins), (b.down_clamp(), 4), (b.down_clamp("long", reach=120), 4))


@pytest.mark.parametrize(("sides", "first"), [(48, 0.5), (48, 0.0), (64, 0.5), (96, 0.25)])
def test_two_dowels_in_two_holes_locate_a_plate(sides: int, first: float) -> None:
    holes = (circle(40, 60, sides=sides, first=first), circle(160, 60, sides=sides, first=first))
    found = planned(drilled(*holes), shelf(round_pin("dowel", both=True), round_pin("pin", both=False)))
    assert [item for item in pieces(found) if item not in CLAMPS] == ["dowel", "pin"]
    contacts = [c for p in found.alternatives[0].placements for c in p.contacts if p.item not in CLAMPS]
    assert sum(c.face.startswith("cutout:") for c in contacts) == 3


def test_a_pin_in_a_slot_gives_one_point() -> None:
    found = planned(drilled(circle(40, 60), SLOT), shelf(round_pin("dowel", both=True), round_pin("pin", both=False)))
    by_item = {p.item: p for p in found.alternatives[0].placements}
    assert [c.face for c in by_item["pin"].contacts] in (["cutout:1:0"], ["cutout:1:2"])
    assert len(by_item["dowel"].contacts) == 2


def test_two_single_pins_do_not_locate_a_plate() -> None:
    pins = (round_pin("pin", both=False), round_pin("pin-2", both=False))
    assert impossible(drilled(circle(40, 60), circle(160, 60)), shelf(*pins))


def test_a_loose_pin_touches_nothing() -> None:
    loose = (circle(40, 60, diameter=16.6), circle(160, 60, diameter=16.6))
    assert impossible(drilled(*loose), shelf(round_pin("dowel", both=True), round_pin("pin", both=False)))
