"""Variants at a lattice position: what can stand there for all of them, how they lie on a seat, and their problems.

The variants are drawn in one frame, so that the lattice runs under each as it runs under the request's own weldment. A piece
stays in the running only if, in the same hole and turned and carried alike, it finds faces to meet on every one of them.

Example:

```text
   L 500:  stop at C7 meets the tube's end at 12.5 mm         L 507.5:  stop at C7 meets it at 20 mm: stays
           stop at D7 meets it at 2 mm                                  D7 would have to reach 32 mm: falls out
```
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from inventory.stock import StockSnapshot
from inventory.tables import Table
from solver.geometry.hulls import Flags, Index
from solver.hardware.candidates import Lattice
from solver.hardware.screening import screen
from solver.hardware.sites import Sites, find_sites
from solver.laying.laid_weldment import LaidWeldment
from solver.model.variants.same_pieces import StackName, stack_name
from solver.position.problem import Problem
from solver.position.problem_of import problem_of
from solver.position.seatings import lying_at
from solver.position.seats import Seat
from solver.position.torch_screen import shutting_alone
from solver.request import Request
from solver.search.orientation import Orientation


@dataclass(frozen=True)
class VariantAt:
    """A variant at a lattice position: its orientation, how it lies on the seat, and what can stand there for it."""

    orientation: Orientation
    laid: LaidWeldment
    sites: Sites


def sites_beside(orientation: Orientation, lattice: Lattice, *, torch: bool = True) -> list[Sites]:
    """Return what can stand for each variant of an orientation on a lattice; without `torch` also what shuts a weld alone."""
    found = []
    for variant in orientation.variants:
        sites = screen(find_sites(variant.reach, [lattice]), variant.laid, Counter())
        shut = shutting_alone(sites, variant.torch) if torch else np.zeros(len(sites), dtype=bool)
        found.append(sites.where(~shut) if shut.any() else sites)
    return found


def same_pieces(sites: Sites, beside: Sequence[Sites]) -> tuple[Sites, list[Sites]]:
    """Return of one lattice's sites those whose pieces can stand for the weldment and all its variants, at whatever settings."""
    known: dict[StackName, int] = {}
    names = [_names(each, known) for each in (sites, *beside)]
    every = names[0]
    for own in names[1:]:
        every = every[np.isin(every, own)]
    kept: list[Flags] = [np.isin(own, every) for own in names]
    first, *others = [each if flags.all() else each.where(flags) for each, flags in zip((sites, *beside), kept, strict=True)]
    return first, others


def _names(sites: Sites, known: dict[StackName, int]) -> Index:
    """Return a number for what stands where at each site, whatever it is set to."""
    used, which = np.unique(sites.stack, return_inverse=True)
    number = np.array([known.setdefault(stack_name(sites.stacks[k]), len(known)) for k in used.tolist()], dtype=np.int64)
    holes = sites.hole.astype(np.int64) + HOLES // 2
    found: Index = (number[which] * HOLES + holes[:, 0]) * HOLES + holes[:, 1] if len(sites) else np.zeros(0, dtype=np.int64)
    return found


HOLES = 1 << 14
"""More holes than any two on a table lie apart."""


def together(laid: LaidWeldment, variants: Sequence[Orientation]) -> LaidWeldment:
    """Return a weldment as wide as it and all its variants are, for finding seats that bear all of them."""
    every = np.array([laid.bounds, *(variant.laid.bounds for variant in variants)])
    wide = replace(laid)
    wide.__dict__["bounds"] = np.array([every[:, 0].min(axis=0), every[:, 1].max(axis=0)])
    return wide


def seated_beside(
    variants: Sequence[Orientation], lattice: Lattice, seat: Seat | None, order: tuple[int, ...] | None, sites: Sequence[Sites]
) -> tuple[VariantAt, ...] | None:
    """Return the variants on a seat (None: wherever they lie whole), loaded in an order; None if one lies on no table."""
    found = []
    for variant, own in zip(variants, sites, strict=True):
        laid = variant.laid if seat is None else lying_at(variant.laid, lattice, seat)
        if laid is None:
            return None
        found.append(VariantAt(variant, replace(laid, order=order, any_order=False), own))
    return tuple(found)


def problems_beside(
    request: Request, stock: StockSnapshot, beside: Sequence[VariantAt], table: Table | None = None
) -> list[Problem]:
    """Return the problems of the variants at a position."""
    return [
        problem_of(
            request.of_variant(variant), stock, there.laid, there.sites, there.orientation.torch, there.orientation.times, table
        )
        for variant, there in zip(request.sizes, beside, strict=True)
    ]
