"""Held: what a choice is not held by forbids it and its like, and forbids no choice that is held; known motions likewise."""

from __future__ import annotations

from random import Random

from inventory.shapes import Array
from solver import statics
from solver.model.families.on_demand.held import Held
from solver.model.families.on_demand.known_motions import KnownMotions
from solver.model.holding import Holding
from tests.solver.model.positions import Fixing, choice, facing, those
from tests.solver.model.small import clamps, tab

LOCATORS = [*those(tab(), facing(0, -1))[::4], *those(tab(), facing(-1, 0))[::2]]


def held(holding: Holding, standing: list[int]) -> bool:
    return statics.holding_verdict(holding.forces.chosen(sorted(standing)), holding.cases).ok


def over_tube(part: int) -> list[int]:
    """Return clamps that press a part where the tube is."""
    return [k for k in clamps(tab()) if part in tab().candidates[k].parts and tab().candidates[k].meetings[0].at[1] < 25]


def test_a_tab_without_a_clamp_falls_and_is_pushed_off_its_tube() -> None:
    rows, holding = Fixing(tab()), Holding(tab())
    alone = [*LOCATORS, over_tube(0)[0], over_tube(0)[-1]]
    found = list(rows.on_demand(Held, holding).broken(choice(tab(), alone, cents=700)))
    named = [broken.refusal for broken in found if broken.refusal is not None]
    assert {refusal.rule for refusal in named} == {"hold.gravity", "hold.handling_n"}
    assert {refusal.cents for refusal in named} == {700}
    assert any("push on tab" in refusal.what for refusal in named)
    rows.add(found)
    assert not rows.allows(alone)
    clamped = [*alone, over_tube(1)[0]]
    assert held(holding, clamped)
    assert rows.allows(clamped)


def test_the_rows_of_choices_that_fall_forbid_no_choice_that_is_held() -> None:
    rows, holding, draw = Fixing(tab()), Holding(tab()), Random(5)
    family = rows.on_demand(Held, holding)
    every = [*LOCATORS, *clamps(tab())]
    fine = []
    for _ in range(12):
        standing = sorted(draw.sample(every, draw.randint(4, 14)))
        if held(holding, standing):
            fine.append(standing)
        else:
            assert rows.add(family.broken(choice(tab(), standing)))
            assert not rows.allows(standing)
    assert 0 < len(fine) < 12
    assert all(rows.allows(standing) for standing in fine)


def test_what_undid_a_choice_elsewhere_is_asked_of_the_first_choice_here() -> None:
    motions: list[Array] = []
    elsewhere, bare = Holding(tab(), motions), choice(tab(), LOCATORS)
    assert list(Fixing(tab()).on_demand(Held, elsewhere).broken(bare)) and motions
    rows, here = Fixing(tab()), Holding(tab(), motions)
    family = rows.on_demand(KnownMotions, here)
    assert rows.allows(LOCATORS)
    assert rows.add(family.broken(bare)) == 1
    assert here.asked
    assert not rows.allows(LOCATORS)
    assert list(family.broken(bare)) == []


def test_where_nothing_is_known_nothing_is_asked() -> None:
    assert list(Fixing(tab()).on_demand(KnownMotions).broken(choice(tab(), LOCATORS))) == []
