"""The smallest jobs in which the first reason is not the whole cause: lifted, it leaves another one, which is named too."""

from __future__ import annotations

import time
from dataclasses import replace
from random import Random

from inventory.stock import StockSnapshot
from solver.answer.alternative import alternative_of
from solver.deadline import Deadline
from solver.explain.lifting.causes import Causes, causes_of
from solver.laying.lay_out import drawn_samples
from solver.request import Request
from solver.search.search import Search
from solver.weldment import OpenDimension
from tests.builders import (
    X,
    Z,
    adjustable_stop,
    bar,
    down_clamp,
    fillet,
    plain_shelf,
    plate,
    request,
    rest,
    shelf,
    stop,
    table,
    tube,
    weldment,
)  # fmt: skip
from tests.oracle.jobs.beams import beam_job
from tests.properties.lifting import judged
from tests.solver.explain.shops import searched, two_bars
from tests.solver.laying.test_straight_moves import ring

SECONDS = 60.0


def named(asked: Request, stock: StockSnapshot) -> dict[str, list[str]]:
    """Return what is named as the cause, subjects by rule, after lifting it all from outside as well and finding a fixture."""
    causes = caused(asked, stock)
    assert causes.proved
    assert judged(asked, stock, causes.reasons, SECONDS).verdict == "helps"
    rules: dict[str, list[str]] = {}
    for reason in causes.reasons:
        rules.setdefault(reason.rule, []).append(reason.subject)
    return rules


def caused(asked: Request, stock: StockSnapshot) -> Causes:
    """Return the causes of a request that cannot be done."""
    _, shut = drawn_samples(asked.weldment, asked.rules)
    search = Search(asked, stock, [], Deadline.on(time.process_time, SECONDS)) if shut else searched(asked, stock, SECONDS)
    assert not search.tally.found
    deadline = Deadline.on(time.process_time, SECONDS)
    return causes_of(search, shut, alternative_of, deadline)


def test_one_reason_that_is_the_whole_cause_stays_alone() -> None:
    """A beam longer than its table, which its shelf fits once it lies whole on a table, however little pads bear."""
    asked, stock = beam_job(Random(2))
    asked = replace(asked, rules=replace(asked.rules, changes={**asked.rules.changes, "locate.pad_share": 0.0}))
    assert named(asked, stock) == {"table.size": ["T1"]}


def test_a_larger_table_alone_is_not_enough_where_pads_bear_too_little() -> None:
    """The saddle looks out over the beam by 5 mm: a stop 28 wide at its end bears on no more."""
    assert named(*beam_job(Random(2))) == {"table.size": ["T1"], "locate.pad_share": ["saddle"]}


def test_a_larger_table_alone_is_not_enough_without_clamps() -> None:
    small = shelf((stop(), 8), (down_clamp(), 1), tables=[table(columns=8, rows=8)])
    found = named(request(two_bars(length=900)), small)
    assert found["table.size"] == ["T1"] and found["stock.counted"] == ["clamp"]


def test_a_stronger_table_alone_is_not_enough_without_stops() -> None:
    weak = shelf((down_clamp(), 4), tables=[table(columns=30, max_load_kg=2)])
    found = named(request(two_bars(length=900)), weak)
    assert found["table.max_load"] == ["T1"] and "long" in found["locate.side"]


def test_a_weld_made_outside_is_not_enough_where_no_clamp_is_tall_enough() -> None:
    """Ribs 120 high on a plate of 10: a clamp that reaches 105 presses on none of them."""
    parts = (
        plate("base", (200, 200), 10), plate("rib", (160, 8), 120, (20, 90, 10)), plate("other", (160, 8), 120, (20, 114, 10))
    )  # fmt: skip
    welds = [fillet("w1", ("base", "rib"), (60, 98, 10), (140, 98, 10))]
    found = named(request(weldment(*parts, welds=welds)), plain_shelf())
    assert found["torch.shut_in"] == ["w1"] and set(found["clamp.per_length"]) & {"rib", "other"}


def test_a_joint_that_is_open_is_not_enough_without_clamps() -> None:
    parts = (bar("under", 60, 10, 300, (0, 0, 5)), bar("over", 60, 10, 300, (0, 0, 15)))
    asked = request(weldment(*parts, welds=[fillet("w1", ("under", "over"), (100, 0, 10), (200, 0, 10))]))
    found = named(asked, plain_shelf(clamp=0, **{"long-clamp": 0}))
    assert found == {"torch.open_side": ["w1"], "clamp.per_length": ["weldment"]}


def test_a_rest_is_not_enough_without_a_clamp_for_each_part() -> None:
    hanging = weldment(tube(), tube("high", at=(0, 100, 125)), tube("link", length=100, at=(0, 0, 75), along=(0, 0, 1)))
    causes = caused(request(hanging), shelf((stop(height=160), 12), (down_clamp(high=205), 2), (rest(), 9)))
    assert (causes.reasons[0].rule, causes.reasons[0].subject) == ("locate.support", "high")
    assert causes.proved and "clamp.per_length" in {reason.rule for reason in causes.reasons}


def test_a_longer_slide_is_not_enough_without_clamps() -> None:
    bars = two_bars(thickness=40)
    open_bars = weldment(*bars.parts, welds=bars.welds, open_dimensions=(OpenDimension("short", (1.0, 0.0, 0.0), -20, 20),))
    found = named(request(open_bars), shelf((adjustable_stop(), 8), (down_clamp(), 1)))
    assert found["open_dimensions.follow"] == ["short"] and found["stock.counted"] == ["clamp"]


def test_of_two_conflicts_at_one_place_both_are_named() -> None:
    """One clamp for two parts, and one stop."""
    found = named(request(two_bars()), shelf((adjustable_stop(), 1), (down_clamp(), 1)))
    assert "clamp" in found["stock.counted"] and set(found) & {"locate.side", "locate.end"}


def test_parts_that_lock_each_other_do_not_hide_that_there_is_no_clamp() -> None:
    """Two links of a chain: no shop can lift that they lock each other, but no clamp would press on them either."""
    chain = weldment(ring("ring", (0, 0, 50), Z), ring("link", (46, 50, 0), X))
    found = caused(request(chain), shelf((stop(), 8))).reasons
    assert (found[0].rule, found[0].subject) == ("load.order", "ring, link")
    assert "clamp.per_length" in {reason.rule for reason in found}
