"""What shuts the torch out of each weld sample, without the directions and samples that never decide."""

from __future__ import annotations

import numpy as np

from solver.access.torch import TorchDirections, torch_blocks
from solver.geometry.hulls import Hulls


def torch_rows(torch: TorchDirections, shut: Hulls) -> tuple[tuple[int, tuple[frozenset[int], ...]], ...]:
    """Return per sample its weld and its directions' blockers.

    Directions blocked more than another, samples never blocked, and those reached whenever another one is drop out.
    """
    blockers = [0] * len(torch.sample)
    for way, candidate in torch_blocks(torch, shut):
        blockers[way] |= 1 << candidate
    rows: dict[tuple[int, ...], int] = {}
    for sample, place in enumerate(torch.samples):
        least: list[int] = []
        for entry in sorted({blockers[way] for way in np.flatnonzero(torch.sample == sample)}, key=lambda e: (e.bit_count(), e)):
            if not any(other & ~entry == 0 for other in least):
                least.append(entry)
        if least and least[0]:
            rows.setdefault(tuple(least), place.weld)
    kept = [row for row in sorted(rows) if not any(other != row and _harder(other, row) for other in rows)]
    return tuple((rows[row], tuple(_members(entry) for entry in row)) for row in kept)


def _harder(one: tuple[int, ...], other: tuple[int, ...]) -> bool:
    """Return whether a sample that can be reached under `one` can surely be reached under `other`."""
    return all(any(theirs & ~mine == 0 for theirs in other) for mine in one)


def _members(mask: int) -> frozenset[int]:
    found = []
    while mask:
        low = mask & -mask
        found.append(low.bit_length() - 1)
        mask ^= low
    return frozenset(found)
