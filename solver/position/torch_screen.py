"""Sites that shut the torch out of a weld sample all alone: no fixture has one of them."""

from __future__ import annotations

import numpy as np

from solver.access.torch import TorchDirections, torch_shut
from solver.geometry.hulls import Flags, Index
from solver.geometry.proximity import box_pairs
from solver.hardware.sites import Sites
from solver.ledgers.answers import Small
from solver.ledgers.kept import kept_each


def shutting_alone(sites: Sites, torch: TorchDirections) -> Flags:
    """Return which sites shut every direction from which the torch could reach some sample; what is known is looked up."""
    if not len(torch.sample) or not len(sites):
        return np.zeros(len(sites), dtype=bool)

    def compute(rows: Index) -> Small:
        return _shutting_alone(sites.at(rows), torch).astype(np.uint8)

    return kept_each("torch", (torch.content,), sites.names, compute).astype(bool)


def _shutting_alone(sites: Sites, torch: TorchDirections) -> Flags:
    """Return the same from the bodies.

    Sites whose bounds leave a direction free are not looked at closely; of the others each is asked about a few directions at
    first, and about more only while it has shut all of them.
    """
    bodies, count = sites.bodies(), len(sites)
    if not len(bodies):
        return np.zeros(count, dtype=bool)
    i, j = box_pairs(torch.capsules.boxes, bodies.boxes, torch.radii)
    met = np.zeros((len(torch.sample), count), dtype=bool)
    met[i // 2, bodies.owner[j]] = True
    rank = _ranks(torch, met.sum(axis=1))
    shut: Flags = _all_ways(met, torch)
    first, many = 0, 1
    while first <= rank.max() and shut.any():
        now = (rank >= first) & (rank < first + many)
        asked = now[i // 2] & shut[torch.sample[i // 2], bodies.owner[j]]
        hit = torch_shut(torch, bodies, i[asked], j[asked], count)
        shut = np.logical_and(shut, _all_ways(np.logical_or(hit, ~now[:, None]), torch))
        first, many = first + many, 2 * many
    found: Flags = np.asarray(shut.any(axis=0))
    return found


def _ranks(torch: TorchDirections, met: Index) -> Index:
    """Return the place of each direction among those of its sample, those that fewest sites come near first."""
    order = np.lexsort((met, torch.sample))
    rank = np.empty(len(order), dtype=np.intp)
    rank[order] = np.arange(len(order)) - np.searchsorted(torch.sample[order], torch.sample[order])
    return rank


def _all_ways(flags: Flags, torch: TorchDirections) -> Flags:
    """Return for flags (directions, sites) which sites have them for all directions of a sample, (samples, sites)."""
    found = np.zeros((len(torch.samples), flags.shape[1]), dtype=bool)
    reached, first = np.unique(torch.sample, return_index=True)  # directions are sorted by their samples
    found[reached] = np.logical_and.reduceat(flags, first, axis=0)
    return found
