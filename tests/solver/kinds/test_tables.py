"""Several tables: what they bear, their pitch, blocked holes, holes and items to go without."""

from __future__ import annotations

from functools import cache

import pytest

from inventory.tables import parse_hole
from solver.plans import Plan
from solver.request import Without
from tests import builders as b
from tests.solver.kinds.shop import pieces, planned

JOB = b.tab_on_tube()
ITEMS = [(item, b.plain_shelf().free(item.id)) for item in b.plain_shelf().items.values()]


@cache
def plain() -> Plan:
    return planned(JOB, b.plain_shelf())


def test_a_table_too_weak_for_parts_and_hardware_is_not_taken() -> None:
    weak, strong = b.table("T1", max_load_kg=4.0), b.table("T2", max_load_kg=100.0)
    found = planned(JOB, b.shelf(*ITEMS, tables=[weak, strong]), tables=("T1", "T2"))
    assert found.alternatives[0].table == "T2"


def test_a_table_bears_as_much_as_the_cheapest_fixture_that_is_light_enough() -> None:
    heavy = b.stop("heavy", mass_kg=30.0, day_rate_cents=0)
    shelf = [*ITEMS, (heavy, 8)]
    free = planned(JOB, b.shelf(*shelf))
    light = planned(JOB, b.shelf(*shelf, tables=[b.table(max_load_kg=40.0)]))
    assert pieces(free).count("heavy") > 1 >= pieces(light).count("heavy")
    assert light.alternatives[0].cost.total_cents > free.alternatives[0].cost.total_cents


def test_a_table_that_does_not_bear_the_parts_is_refused() -> None:
    found = planned(JOB, b.shelf((b.stop(), 8), (b.down_clamp(), 4), tables=[b.table(max_load_kg=2.0)]))
    assert found.status == "infeasible"


@pytest.mark.parametrize("pitch", [50.0, pytest.param(25.0, marks=pytest.mark.slow)])
def test_tables_of_another_pitch_are_planned_on_their_own_lattice(pitch: float) -> None:
    other = b.table("T2", columns=int(1200 / pitch), rows=int(800 / pitch), pitch=pitch)
    found = planned(JOB, b.shelf(*ITEMS, tables=[b.table(), other]), tables=("T1", "T2"))
    only = planned(JOB, b.shelf(*ITEMS, tables=[b.table(), other]), tables=("T2",))
    assert only.status == "optimal" and only.alternatives[0].table == "T2"
    assert found.alternatives[0].cost.total_cents <= only.alternatives[0].cost.total_cents


@pytest.mark.slow
def test_holes_to_go_without_and_blocked_holes_stay_empty() -> None:
    used = {p.hole for p in plain().alternatives[0].placements if p.hole}
    taken = sorted(used)[:2]
    without = Without(holes=frozenset({(None, parse_hole(taken[0]))}))
    blocked = b.table(blocked_holes=frozenset({parse_hole(taken[1])}))
    found = planned(JOB, b.shelf(*ITEMS, tables=[blocked]), without=without)
    assert not {p.hole for p in found.alternatives[0].placements} & set(taken)


def test_items_to_go_without_are_left_on_the_shelf() -> None:
    assert "stop-20" in pieces(plain())
    found = planned(JOB, b.plain_shelf(), without=Without(items={"stop-20": 8}))
    assert found.status == "optimal" and "stop-20" not in pieces(found)
