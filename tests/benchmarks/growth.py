"""How the time grows with parts, with holes and with items on the shelf: a table a series, and the exponents that fit it.

    python -m tests.benchmarks growth [--limit SECONDS] [--only SERIES]

If the time to the first plan goes as ``size ** e``, e is the slope of a straight line through the logarithms of both, fitted by least
squares; so is the time to the end, over those that ended within their limit, and of fewer than three none is told. Times are CPU seconds of this process, limits too. One
alternative is asked for; an end is the proof, or all gone through that is gone through.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from statistics import linear_regression

from inventory.stock import StockSnapshot
from solver.request import Request
from tests.benchmarks.grown_jobs import frame, half_a_shelf, holes, near_copies, on_table
from tests.benchmarks.planning_run import timed
from tests.benchmarks.shop import SHOP, request_of

LIMIT_S = 60.0
LEAST_FITTED = 3
SMALL = "post-on-plate"
"""The job that stays the same while table or shelf grow."""
BARS = (2, 3, 4, 6, 8)
SIZES = ((800.0, 600.0), (1200.0, 800.0), (1600.0, 1000.0), (2400.0, 1600.0), (3200.0, 2000.0))
PITCHES = (50.0, 40.0, 32.0, 25.0)
Job = tuple[int, Request, StockSnapshot]
"""A size, and what is planned of that size."""


@dataclass(frozen=True)
class Grown:
    """What a job of a size took: CPU seconds to the first plan, to the end (None if its limit came first), and what it found."""

    size: int
    first_s: float | None
    end_s: float | None
    positions: float
    cents: int | None
    status: str


def report(name: str, limit: float) -> None:
    """Print one series' table and exponents."""
    print(f"{name:24} {'first, s':>9} {'end, s':>9} {'positions':>10} {'cents':>8}  status")
    found = []
    for size, request, stock in SERIES[name]():
        found.append(grown(size, request, stock, limit))
        print(line(found[-1], limit), flush=True)
    first = exponent([(entry.size, entry.first_s) for entry in found])
    end = exponent([(entry.size, entry.end_s) for entry in found])
    print(f"{'exponent':24} {_shown(first)} {_shown(end)}", flush=True)


def grown(size: int, request: Request, stock: StockSnapshot, limit: float) -> Grown:
    """Plan a job of a size."""
    run = timed(replace(request, alternatives=1), stock, limit)
    best = run.plan.alternatives[0].cost.total_cents if run.plan.alternatives else None
    ended = run.plan.stopped_by in ("proof", "scope")
    return Grown(size, run.first, run.seconds if ended else None, run.plan.work["positions"], best, run.plan.status)


def line(entry: Grown, limit: float) -> str:
    """Return a job's line of the table; a time over its limit is shown as such."""
    end = f"{f'>{limit:g}':>9}" if entry.end_s is None else _shown(entry.end_s)
    price = "none" if entry.cents is None else str(entry.cents)
    return f"{entry.size:<24} {_shown(entry.first_s)} {end} {entry.positions:>10.0f} {price:>8}  {entry.status}"


def exponent(times: Sequence[tuple[int, float | None]]) -> float | None:
    """Return e of ``seconds ~ size ** e``, None for fewer than three sizes with a time."""
    logs = [(math.log(size), math.log(seconds)) for size, seconds in times if seconds]
    if len({size for size, _ in logs}) < LEAST_FITTED:
        return None
    return linear_regression(*zip(*logs, strict=True)).slope


def _of_bars() -> Iterator[Job]:
    return ((bars, frame(bars), SHOP) for bars in BARS)


def _of_holes(tables: Sequence[tuple[tuple[float, float], float]]) -> Iterator[Job]:
    shops = (on_table(size, pitch) for size, pitch in tables)
    return ((holes(shop), request_of(SMALL), shop) for shop in shops)


def _of_items() -> Iterator[Job]:
    return ((len(shop.items), request_of(SMALL), shop) for shop in (half_a_shelf(), SHOP, near_copies()))


def _shown(number: float | None) -> str:
    return f"{'none':>9}" if number is None else f"{number:9.2f}"


SERIES: dict[str, Callable[[], Iterator[Job]]] = {
    "bars": _of_bars,
    "holes-larger-table": lambda: _of_holes([(size, 40.0) for size in SIZES]),
    "holes-finer-pitch": lambda: _of_holes([((1600.0, 1000.0), pitch) for pitch in PITCHES]),
    "items": _of_items,
}
"""What grows, and the jobs from small to large."""
