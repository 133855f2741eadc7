"""What a request's own facts shut is lifted, and nothing else."""

from __future__ import annotations

from dataclasses import replace

from solver.explain.lifting.outside import ROOM, lifted, lifts
from solver.plans import Reason
from tests.builders import plain_shelf, request, tab_on_tube, table


def test_only_the_welds_named_are_made_outside() -> None:
    asked, stock = lifted(request(tab_on_tube()), plain_shelf(), [Reason("torch.shut_in", "w2", "")])
    assert {weld.id: weld.in_fixture for weld in asked.weldment.welds} == {"w1": "full", "w2": "none"}
    assert stock == plain_shelf()


def test_only_the_tables_named_grow() -> None:
    """A tube of 500 mm: room to both sides of it whatever its turn, and no blocked hole."""
    small = {id: table(id, columns=4, rows=3, blocked_holes=frozenset({(0, 0)}), max_load_kg=5) for id in ("T1", "T2")}
    stock = replace(plain_shelf(), tables=small)
    _, larger = lifted(request(tab_on_tube()), stock, [Reason("table.size", "T1", "")])
    assert min(larger.tables["T1"].size) > 500 + 2 * ROOM and not larger.tables["T1"].blocked_holes
    assert larger.tables["T1"].max_load_kg == 5 and larger.tables["T2"] == small["T2"]
    _, stronger = lifted(request(tab_on_tube()), stock, [Reason("table.max_load", "T2", "")])
    assert stronger.tables["T2"] == replace(small["T2"], max_load_kg=None) and stronger.tables["T1"] == small["T1"]


def test_what_hardware_shuts_is_not_lifted_here() -> None:
    assert lifts(Reason("table.size", "T1", "")) and lifts(Reason("torch.open_side", "w1", ""))
    assert not lifts(Reason("locate.side", "tab", "")) and not lifts(Reason("load.order", "tube", ""))
