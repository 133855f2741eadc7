"""Lies made ready for their lattice positions: the weldment as it lies, what can meet it, where the torch can come from."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace

from inventory.items import Item
from inventory.stock import StockSnapshot
from inventory.tables import Table
from solver.candidates.assembly import Assembly, assemble
from solver.candidates.blocking import TorchWays, torch_ways
from solver.candidates.bounds import Bounds
from solver.candidates.lies import Lie
from solver.candidates.placing import Match, matches
from solver.candidates.stands import Stand
from solver.cost import free_pieces, stack_times, tariff
from solver.geometry.joints import Sample
from solver.poses import Ground
from solver.request import Request


def items_of(request: Request, stock: StockSnapshot) -> list[Item]:
    """Return what may stand: items of which pieces are free, or may be bought."""
    return [item for item in stock.items.values() if request.shortage == "price" or free_pieces(request, stock, item.id) > 0]


def grounds_of(
    request: Request, stock: StockSnapshot, samples: Sequence[Sample], lies: Sequence[Lie], out_of_time: Callable[[], bool]
) -> Iterator[Ground]:
    """Yield the ground of every lie on the tables of each pitch, until time is up."""
    items = items_of(request, stock)
    tables = [stock.tables[name] for name in request.tables]
    for lie in lies:
        if out_of_time():
            return
        assembly = assemble(request.weldment, request.rules, lie.rotation, lie.lift, samples)
        torch = torch_ways(assembly)
        for pitch in dict.fromkeys(table.pitch for table in tables):
            if out_of_time():
                return
            same = [table for table in tables if table.pitch == pitch]
            yield _ground(request, stock, lie, same, assembly, torch, *matches(items, assembly, pitch))


def under_rules(request: Request, stock: StockSnapshot, ground: Ground) -> Ground:
    """Return a ground as it is under a request's rules, found under others that differ in nothing the torch asks for."""
    assembly = replace(ground.assembly, rules=request.rules)
    return _ground(request, stock, ground.lie, ground.tables, assembly, ground.torch, ground.stands, ground.found)


def _ground(
    request: Request, stock: StockSnapshot, lie: Lie, tables: Sequence[Table], assembly: Assembly, torch: TorchWays,
    stands: list[Stand], found: list[Match],
) -> Ground:  # fmt: skip
    rates = tariff(request)
    times = [stack_times(request, stock, [level.item for level in stand.levels]) for stand in stands]
    bounds = Bounds(assembly, stands, found, [entry.cents(rates) for entry in times], tables[0].pitch)
    return Ground(lie, tables, assembly, stands, found, times, torch, bounds)
