"""Counted: no more pieces than the shelf holds, no more weight than the table bears."""

from __future__ import annotations

from dataclasses import replace

from solver.cost import free_pieces
from solver.model.families.from_start import counted
from tests import builders as b
from tests.solver.model.positions import Fixing, position, those
from tests.solver.model.small import BAR, bar


def test_no_more_pieces_than_the_shelf_holds() -> None:
    rows = Fixing.of(bar(), counted)
    stops = those(bar(), lambda candidate: candidate.stack.top.id == "stop")
    assert free_pieces(bar().request, bar().stock, "stop") == 4 and len(stops) > 4
    assert rows.allows(stops[:4])
    assert not rows.allows(stops[:5])


def test_a_fifth_piece_may_be_bought_where_that_is_asked_for() -> None:
    stock = b.shelf((b.stop(), 4), (b.down_clamp(), 2))
    buying = position(b.request(BAR, shortage="price"), stock, (15, 0))
    stops = those(buying, lambda candidate: candidate.stack.top.id == "stop")
    assert Fixing.of(buying, counted).allows(stops[:5])


def test_no_more_weight_than_the_table_bears() -> None:
    """Two kilograms a stop on a table that bears five beside the bar: two stops, not three."""
    stock = b.shelf((b.stop(mass_kg=2), 4), (b.down_clamp(), 2))
    problem = replace(position(b.request(BAR), stock, (15, 0)), spare_kg=5.0)
    stops = those(problem, lambda candidate: candidate.stack.top.id == "stop")
    rows = Fixing.of(problem, counted)
    assert rows.allows(stops[:2])
    assert not rows.allows(stops[:3])
