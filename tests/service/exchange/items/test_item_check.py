"""A look at an item: all of the demo shop's are as they must be; what is spoiled is seen, with its number."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from inventory.items import Carries, Item
from service.demo import stock_document
from service.documents import read_stock
from service.exchange.items.item_check import item_findings
from tests.builders import adjustable_stop, box, down_clamp, riser, stop

DEMO = read_stock(stock_document()).items


def told(item: Item, **more: Any) -> dict[str, tuple[str, float | None]]:
    found = item_findings(item, **more)
    return {finding.code: (finding.verdict, finding.value) for finding in found if finding.verdict != "good"}


def of_its_mass(item: Item) -> Item:
    mass = next(finding.text for finding in item_findings(item) if finding.code == "mass")
    return replace(item, mass_kg=float(mass.split(" come to ")[1].removesuffix(" kg")))


@pytest.mark.parametrize("id", DEMO)
def test_the_demo_shops_items_are_sound(id: str) -> None:
    """Their masses are those of the whole piece with its pegs; three are not convex."""
    odd = {"mass", "solid.convex"} if id in ("square-60", "square-over", "vee-60") else {"mass"}
    found = told(DEMO[id], pitch=40.0)
    assert set(found) <= odd and all(verdict == "told" for verdict, _ in found.values())


SOUND = of_its_mass(stop(face=15, height=60, width=28))
PAD = SOUND.contacts[0]


def with_pad(**changes: Any) -> Item:
    return replace(SOUND, contacts=(replace(PAD, **changes),))


@pytest.mark.parametrize(
    ("item", "wrong"),
    [
        (SOUND, {}),
        (with_pad(at=(0, 15.04, 30)), {}),
        (with_pad(at=(0, 15.06, 30)), {"pad.on_face": 0.06, "pad.whole": 4}),
        (with_pad(at=(0, 12, 30)), {"pad.on_face": 3, "pad.whole": 4}),
        (with_pad(normal=(0, -1, 0)), {"pad.normal": None}),
        (with_pad(at=(0, 15, 32), height=60), {"pad.whole": 2}),
        (with_pad(at=(90, 15, 30)), {"pad.on_face": None}),
        (with_pad(moves=True), {"pad.moves": None}),
    ],
)
def test_a_pad_lies_on_the_piece_and_looks_out_of_it(item: Item, wrong: dict[str, float | None]) -> None:
    assert told(item) == {code: ("wrong", value) for code, value in wrong.items()}


def test_a_pad_on_a_slope_is_seen_as_well() -> None:
    lying = DEMO["vee-60"].contacts[0]
    turned = replace(DEMO["vee-60"], contacts=(replace(lying, normal=(0, 0, 1)), DEMO["vee-60"].contacts[1]))
    assert told(turned)["pad.whole"][0] == "wrong"


def test_pegs_are_under_the_piece() -> None:
    wide = replace(SOUND, pegs=((0, 0), (1, 0)))
    assert told(wide) == {} and told(wide, pitch=40.0) == {"peg.under_piece": ("told", None)}


def test_a_piece_stands_on_the_table_and_weighs_what_its_solids_do() -> None:
    floating = replace(SOUND, solids=(box(-14, -15, 14, 15, 3, 60),), contacts=(replace(PAD, at=(0, 15, 32), height=50),))
    assert told(floating)["solid.on_table"] == ("told", 3)
    assert told(replace(SOUND, mass_kg=SOUND.mass_kg * 1.2)) == {}
    assert told(replace(SOUND, mass_kg=SOUND.mass_kg * 1.3))["mass"][0] == "told"
    assert told(SOUND, material="aluminium")["mass"][0] == "told"


def test_a_clamps_pad_is_its_tip() -> None:
    clamp = of_its_mass(down_clamp())
    assert told(clamp) == {}
    still = replace(clamp, solids=tuple(replace(solid, moves=False) for solid in clamp.solids))
    assert told(still) == {"pad.moves": ("wrong", None), "reach.moves": ("told", 100)}
    assert clamp.clamp is not None
    away = replace(clamp, clamp=replace(clamp.clamp, reach=((0, 60, 6), (0, 60, 100))))
    assert told(away) == {"reach.tip": ("wrong", 1)}


def test_what_stands_on_a_carrier_stands_on_a_top_of_it() -> None:
    assert told(of_its_mass(riser())) == {}
    assert told(replace(of_its_mass(riser(height=40)), carries=Carries(42.0, ((0, 0),))))["carries.height"] == ("wrong", 2)
    assert told(replace(of_its_mass(riser()), carries=None)) == {"carries.missing": ("told", None)}


def test_what_is_not_convex_is_told() -> None:
    assert told(DEMO["vee-60"])["solid.convex"] == ("told", 1)
    assert "solid.convex" not in told(adjustable_stop())
