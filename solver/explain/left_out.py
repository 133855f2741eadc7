"""What a search did not try, as sentences, with what any such fixture costs at least."""

from __future__ import annotations

from collections.abc import Mapping

from solver.plans import LeftOut

TEXTS: Mapping[str, str] = {
    "arms": "fixtures with a piece on an arm where nothing keeps it from standing there without one",
    "lift": "fixtures that carry the weldment above the table",
    "orders": "orders of loading other than the plain one: lower parts first, then the heaviest",
    "positions.askew": "some lattice positions at which pads meet parts that lie at odd angles",
    "positions.variants": "some places of the lattice that matter to the variants only together",
    "seats": "some seats on the table where blocked holes or its edges take holes away",
    "stations": "stations beside each other among pulled pieces, turned where hardware turns by halves, or in too many ways",
    "stays": "the weldment elsewhere on the table among pinned pieces that stay: each of them is taken for moved there",
    "turned": "pinned carriers that look the same at every turn, under a weldment that is turned by a quarter",
    "variants.mirror": "other pairs: a mirror image is planned last, with the plan it follows kept as far as it can be",
    "variants.shift": "variants shifted from where they are drawn, along an axis on which every locator can be set",
}
"""What each code of the search stands for."""


def left_out(untried: Mapping[str, int], best: int | None) -> tuple[LeftOut, ...]:
    """Return what was not tried and could be cheaper than `best` (cents; None: no fixture was found), by code.

    `untried` holds what any fixture of each sort costs at least, cents.
    """
    return tuple(LeftOut(code, TEXTS[code], cents) for code, cents in sorted(untried.items()) if best is None or cents < best)
